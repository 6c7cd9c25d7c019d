#include "viewer/window/form_editors.h"

#include <QHBoxLayout>
#include <QKeyEvent>
#include <QLabel>
#include <QMenu>
#include <QPushButton>
#include <QSignalBlocker>
#include <QWheelEvent>
#include <algorithm>

namespace holeward {
namespace {

QString Shown(const std::string& text) { return QString::fromStdString(text); }

bool IsNumber(const QString& text) {
  bool good = false;
  text.toDouble(&good);
  return good;
}

/// What is half written is not written over with what it came to.
void ShowIn(QLineEdit* line, const QString& text) {
  if (line->text() != text && !(line->hasFocus() && line->isModified())) line->setText(text);
}

}  // namespace

void AnswerLine::keyPressEvent(QKeyEvent* event) {
  const bool up = event->key() == Qt::Key_Up;
  if (number_ && (up || event->key() == Qt::Key_Down)) {
    const double step = event->modifiers() & Qt::ShiftModifier ? 5.0 : 0.5;
    Step(up ? step : -step);
    return;
  }
  QLineEdit::keyPressEvent(event);
}

void AnswerLine::wheelEvent(QWheelEvent* event) {
  if (!number_ || !hasFocus()) {
    event->ignore();
    return;
  }
  Step(event->angleDelta().y() > 0 ? 0.5 : -0.5);
  event->accept();
}

void AnswerLine::Step(double by) {
  bool good = false;
  const double value = text().toDouble(&good);
  if (!good) return;
  setText(QString::number(value + by, 'g', 12));
  emit textEdited(text());
}

void ChoiceBox::Offer(const std::vector<std::string>& choices, bool blank) {
  QStringList words;
  if (blank) words << "";
  for (const std::string& word : choices) words << Shown(word);
  QStringList offered;
  for (int i = 0; i < count(); ++i) offered << itemText(i);
  if (offered == words) return;
  const QString written = currentText();
  const QSignalBlocker quiet(this);
  clear();
  addItems(words);
  if (isEditable()) setEditText(written);
}

void ChoiceBox::wheelEvent(QWheelEvent* event) {
  if (hasFocus()) {
    QComboBox::wheelEvent(event);
  } else {
    event->ignore();
  }
}

AnswerLines::AnswerLines(QWidget* parent) : QPlainTextEdit(parent) {
  setTabChangesFocus(true);
  setFixedHeight(4 * fontMetrics().lineSpacing());
}

void AnswerLines::focusOutEvent(QFocusEvent* event) {
  QPlainTextEdit::focusOutEvent(event);
  if (on_end) on_end();
}

PieceLines::PieceLines(const FormField& field, QWidget* parent)
    : CompoundEditor(parent), field_(field) {
  auto* layout = new QHBoxLayout(this);
  layout->setContentsMargins(0, 0, 0, 0);
  const QString label = Shown(field.label);
  for (std::size_t i = 0; i < field.pieces.size(); ++i) {
    const QString piece = Shown(field.pieces[i]);
    layout->addWidget(new QLabel(piece, this));
    QLineEdit* line = nullptr;
    if (field.choices.empty()) {
      line = new AnswerLine(true, this);
      stops_.push_back(line);
    } else {
      auto* box = new ChoiceBox;
      box->setEditable(true);
      box->setInsertPolicy(QComboBox::NoInsert);
      box->Offer(field.choices, true);
      line = box->lineEdit();
      stops_.push_back(box);
      connect(box, qOverload<int>(&QComboBox::activated), this, [this](int) { Ended(); });
    }
    // What stands for nothing given is said once.
    if (i == 0) line->setPlaceholderText(Shown(field.hint));
    stops_.back()->setObjectName("field " + label + ": " + piece);
    stops_.back()->setAccessibleName(label + ", " + piece);
    layout->addWidget(stops_.back(), 1);
    lines_.push_back(line);
    connect(line, &QLineEdit::textEdited, this, [this, i] { Typed(i); });
    connect(line, &QLineEdit::editingFinished, this, [this] { Ended(); });
  }
  setFocusProxy(stops_.front());
}

std::vector<std::string> PieceLines::Pieces() const {
  std::vector<std::string> pieces;
  for (const QLineEdit* line : lines_) pieces.push_back(line->text().trimmed().toStdString());
  return pieces;
}

void PieceLines::Typed(std::size_t piece) {
  const std::vector<std::string> pieces = PiecesAfter(field_, Pieces(), piece);
  for (std::size_t i = 0; i < lines_.size(); ++i) {
    if (i != piece && Shown(pieces[i]) != lines_[i]->text()) lines_[i]->setText(Shown(pieces[i]));
  }
  // While it is written a number counts at once; anything else when it is finished.
  const auto answer = Written();
  if (answer && IsNumber(lines_[piece]->text()) && on_answer) on_answer(*answer, true);
}

void PieceLines::Ended() {
  if (const auto answer = Written(); answer && on_answer) on_answer(*answer, true);
  if (on_end) on_end();
}

std::optional<QString> PieceLines::Written() const {
  const auto answer = AnswerOf(field_, Pieces());
  return answer ? std::optional(Shown(*answer)) : std::nullopt;
}

void PieceLines::Show(const FormField& field) {
  field_ = field;
  const std::vector<std::string> pieces = PiecesIn(field);
  // Pieces half written, of which nothing stands in the text yet, stay.
  const bool writing = !Written() && std::any_of(lines_.begin(), lines_.end(),
                                                 [](const auto* line) { return line->hasFocus(); });
  for (std::size_t i = 0; !writing && i < pieces.size() && i < lines_.size(); ++i) {
    ShowIn(lines_[i], Shown(pieces[i]));
  }
}

NamesLine::NamesLine(const FormField& field, QWidget* parent)
    : CompoundEditor(parent),
      line_(new AnswerLine(false, this)),
      choose_(new QPushButton(this)),
      menu_(new QMenu(this)) {
  auto* layout = new QHBoxLayout(this);
  layout->setContentsMargins(0, 0, 0, 0);
  layout->addWidget(line_, 1);
  layout->addWidget(choose_);
  const QString label = Shown(field.label);
  line_->setObjectName("field " + label);
  line_->setAccessibleName(label);
  line_->setPlaceholderText(Shown(field.hint));
  choose_->setText("Choose");
  choose_->setAutoDefault(false);
  choose_->setObjectName("choose " + label);
  choose_->setAccessibleName("Choose " + label);
  choose_->setMenu(menu_);
  setFocusProxy(line_);
  connect(menu_, &QMenu::aboutToShow, this, [this] { FillMenu(); });
  connect(line_, &QLineEdit::editingFinished, this, [this] {
    if (on_answer) on_answer(line_->text(), true);
    if (on_end) on_end();
  });
}

QStringList NamesLine::Names() const {
  QStringList names;
  for (const QString& name : line_->text().split(',')) {
    if (!name.trimmed().isEmpty()) names << name.trimmed();
  }
  return names;
}

void NamesLine::FillMenu() {
  menu_->clear();
  const QStringList now = Names();
  for (const QString& name : choices_) {
    auto* action = menu_->addAction(QString(name).replace("&", "&&"));
    action->setCheckable(true);
    action->setChecked(now.contains(name));
    connect(action, &QAction::toggled, this, [this, name](bool on) { Toggle(name, on); });
  }
}

void NamesLine::Toggle(const QString& name, bool on) {
  QStringList names = Names();
  names.removeAll(name);
  if (on) names << name;
  line_->setText(names.join(", "));
  if (on_answer) on_answer(line_->text(), false);
  if (on_end) on_end();
}

std::optional<QString> NamesLine::Written() const { return line_->text(); }

std::vector<QWidget*> NamesLine::Stops() const { return {line_, choose_}; }

void NamesLine::Show(const FormField& field) {
  choices_.clear();
  for (const std::string& choice : field.choices) choices_ << Shown(choice);
  ShowIn(line_, Shown(field.shown));
}

}  // namespace holeward
