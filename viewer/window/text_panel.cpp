#include "viewer/window/text_panel.h"

#include <QFontDatabase>
#include <QListWidget>
#include <QPlainTextEdit>
#include <QSplitter>
#include <QTextBlock>
#include <QTimer>
#include <QVBoxLayout>

#include "viewer/window/window_undo.h"

namespace holeward {
namespace {

/// The text as it is: toPlainText() would make plain spaces of some others.
QString TextOf(const QPlainTextEdit& edit) {
  QString text = edit.document()->toRawText();
  return text.replace(QChar::ParagraphSeparator, '\n');
}

}  // namespace

TextPanel::TextPanel(QWidget* parent)
    : QWidget(parent),
      text_(new QPlainTextEdit(this)),
      errors_(new QListWidget(this)),
      pause_(new QTimer(this)) {
  text_->setFont(QFontDatabase::systemFont(QFontDatabase::FixedFont));
  text_->setLineWrapMode(QPlainTextEdit::NoWrap);
  text_->setObjectName("text");
  text_->setAccessibleName("The job's text");
  text_->setUndoRedoEnabled(false);  // the window's own undo counts
  text_->installEventFilter(new WindowUndo(text_));
  errors_->setObjectName("errors");
  errors_->setAccessibleName("What is wrong in the job");
  errors_->setWordWrap(true);
  pause_->setSingleShot(true);
  pause_->setInterval(350);
  auto* split = new QSplitter(Qt::Vertical, this);
  split->addWidget(text_);
  split->addWidget(errors_);
  split->setStretchFactor(0, 3);
  split->setStretchFactor(1, 1);
  auto* layout = new QVBoxLayout(this);
  layout->setContentsMargins(6, 6, 6, 6);
  layout->addWidget(split);
  errors_->hide();
  connect(text_, &QPlainTextEdit::textChanged, this, [this] {
    if (filling_) return;
    dirty_ = true;
    pause_->start();
  });
  connect(pause_, &QTimer::timeout, this, [this] { Finish(); });
  connect(errors_, &QListWidget::currentRowChanged, this, [this](int row) {
    const bool any = row >= 0 && static_cast<std::size_t>(row) < places_.size();
    if (any && errors_->hasFocus()) GoTo(places_[static_cast<std::size_t>(row)]);
  });
  connect(errors_, &QListWidget::itemClicked, this, [this](QListWidgetItem* item) {
    GoTo(places_[static_cast<std::size_t>(errors_->row(item))]);
  });
}

void TextPanel::Finish() {
  if (!dirty_) return;
  dirty_ = false;
  pause_->stop();
  if (on_change) on_change(TextOf(*text_));
}

void TextPanel::Show(const QString& text) {
  // Written here, or with the line ends of another system: the same to a person.
  QString plain = text;
  plain.replace("\r\n", "\n");
  if (TextOf(*text_) == plain || dirty_) return;
  filling_ = true;
  const int line = text_->textCursor().blockNumber();
  text_->setPlainText(plain);
  QTextCursor cursor(text_->document()->findBlockByNumber(line));
  text_->setTextCursor(cursor);
  filling_ = false;
  Mark();
}

void TextPanel::ShowErrors(const std::vector<JobError>& errors,
                           const std::vector<JobError>& warnings) {
  places_.clear();
  errors_->clear();
  error_count_ = errors.size();
  for (const auto* list : {&errors, &warnings}) {
    for (const JobError& error : *list) {
      places_.push_back(error.at);
      errors_->addItem(QString("%1 line %2, column %3: %4")
                           .arg(list == &errors ? "Error," : "Note,")
                           .arg(error.at.line)
                           .arg(error.at.column)
                           .arg(QString::fromStdString(error.message)));
    }
  }
  errors_->setVisible(!places_.empty());
  Mark();
}

void TextPanel::Mark() {
  QList<QTextEdit::ExtraSelection> marks;
  for (std::size_t i = 0; i < error_count_; ++i) {
    QTextEdit::ExtraSelection mark;
    mark.format.setBackground(QColor(255, 224, 214));
    mark.format.setProperty(QTextFormat::FullWidthSelection, true);
    mark.cursor = QTextCursor(text_->document()->findBlockByNumber(places_[i].line - 1));
    marks.push_back(mark);
  }
  text_->setExtraSelections(marks);
}

void TextPanel::GoTo(const Location& at) {
  const QTextBlock block = text_->document()->findBlockByNumber(at.line - 1);
  if (!block.isValid()) return;
  QTextCursor cursor(block);
  cursor.movePosition(QTextCursor::Right, QTextCursor::MoveAnchor,
                      std::min(std::max(0, at.column - 1), block.length() - 1));
  text_->setTextCursor(cursor);
  text_->centerCursor();
}

}  // namespace holeward
