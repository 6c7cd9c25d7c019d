#include "viewer/window/form_panel.h"

#include <QComboBox>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QMenu>
#include <QPlainTextEdit>
#include <QPushButton>
#include <QScrollArea>
#include <QVBoxLayout>
#include <algorithm>

#include "viewer/window/form_editors.h"
#include "viewer/window/window_undo.h"

namespace holeward {
namespace {

/// The same lines: what they offer may differ, an editor that is being written in stays.
bool SameFields(const std::vector<FormField>& a, const std::vector<FormField>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](const FormField& x, const FormField& y) {
                      return x.label == y.label && x.path == y.path && x.kind == y.kind &&
                             x.choices.empty() == y.choices.empty() && x.pieces == y.pieces;
                    });
}

/// The widgets of an editor that take keys, and the lines that are written in.
std::vector<QWidget*> StopsOf(QWidget* editor) {
  const auto* compound = dynamic_cast<const CompoundEditor*>(editor);
  return compound == nullptr ? std::vector<QWidget*>{editor} : compound->Stops();
}

std::vector<QLineEdit*> LinesIn(QWidget* editor) {
  if (const auto* compound = dynamic_cast<const CompoundEditor*>(editor)) return compound->Lines();
  if (auto* box = qobject_cast<QComboBox*>(editor)) {
    return box->lineEdit() == nullptr ? std::vector<QLineEdit*>{} : std::vector{box->lineEdit()};
  }
  auto* line = qobject_cast<QLineEdit*>(editor);
  return line == nullptr ? std::vector<QLineEdit*>{} : std::vector{line};
}

const std::pair<NewThing, const char*> kThings[] = {
    {NewThing::point, "&Point"},
    {NewThing::part, "P&art"},
    {NewThing::bench_part, "Part measured on a &bench"},
    {NewThing::station, "&Section of this part"},
    {NewThing::fitting, "&Fitting on this part"},
    {NewThing::inner, "&Inner body in this part"},
    {NewThing::lap, "Second &wall in this part"},
    {NewThing::datum, "Datum that the so&lid shows"},
    {NewThing::face_name, "Fa&ce of the solid by a name"},
    {NewThing::bench_row, "&Row of this bench"},
    {NewThing::bench_spare, "Spare r&eading of this bench"},
    {NewThing::bench_mount, "&Mount of this bench"},
    {NewThing::neighbour, "&Neighbour outside"},
    {NewThing::template_sheet, "&Template of this part"},
    {NewThing::step, "Step of your &own"},
    {NewThing::decision, "&Decision"},
    {NewThing::variant, "&Variant of the vehicle"}};

}  // namespace

FormPanel::FormPanel(QWidget* parent)
    : QWidget(parent),
      choice_(new QComboBox(this)),
      add_menu_(new QMenu("&Add", this)),
      message_(new QLabel(this)),
      fault_(new QLabel(this)),
      scroll_(new QScrollArea(this)),
      delete_(new QPushButton("Delete", this)),
      copy_(new QPushButton("Copy", this)) {
  choice_->setObjectName("table");
  choice_->setAccessibleName("What is being edited");
  choice_->setMaxVisibleItems(30);
  auto* add = new QPushButton("Add", this);
  for (const auto& [thing, word] : kThings) {
    auto* action = add_menu_->addAction(word, this, [this, what = thing] {
      if (on_add) on_add(what);
    });
    if (thing == NewThing::point) action->setShortcut(QKeySequence("Ctrl+Shift+N"));
  }
  add->setMenu(add_menu_);
  add->setObjectName("add");
  copy_->setObjectName("copy");
  delete_->setObjectName("delete");
  auto* top = new QHBoxLayout;
  top->addWidget(choice_, 1);
  top->addWidget(add);
  top->addWidget(copy_);
  top->addWidget(delete_);
  message_->setWordWrap(true);
  message_->setObjectName("answer-message");
  message_->hide();
  fault_->setWordWrap(true);
  fault_->setObjectName("table-fault");
  fault_->hide();
  scroll_->setWidgetResizable(true);
  scroll_->setFrameShape(QFrame::NoFrame);
  setFocusProxy(choice_);
  setTabOrder(choice_, add);
  setTabOrder(add, copy_);
  setTabOrder(copy_, delete_);
  auto* layout = new QVBoxLayout(this);
  layout->setContentsMargins(6, 6, 6, 6);
  layout->addLayout(top);
  layout->addWidget(message_);
  layout->addWidget(fault_);
  layout->addWidget(scroll_, 1);
  connect(choice_, qOverload<int>(&QComboBox::activated), this, [this](int at) {
    if (on_table && at >= 0) on_table(tables_[static_cast<std::size_t>(at)].path);
  });
  connect(copy_, &QPushButton::clicked, this, [this] {
    if (on_copy) on_copy();
  });
  connect(delete_, &QPushButton::clicked, this, [this] {
    if (on_delete) on_delete();
  });
}

void FormPanel::Show(const std::vector<JobTable>& tables, const std::vector<bool>& faulty,
                     const TomlPath& table, const std::vector<FormField>& fields) {
  filling_ = true;
  tables_ = tables;
  while (choice_->count() > static_cast<int>(tables.size())) {
    choice_->removeItem(choice_->count() - 1);
  }
  for (std::size_t i = 0; i < tables.size(); ++i) {
    const QString wrong = i < faulty.size() && faulty[i] ? "  - error" : "";
    const QString title = QString(2 * tables[i].level, ' ') +
                          QString::fromStdString(tables[i].title).left(60) + wrong;
    const int at = static_cast<int>(i);
    if (at >= choice_->count()) choice_->addItem(title);
    if (choice_->itemText(at) != title) choice_->setItemText(at, title);
  }
  for (std::size_t i = 0; i < tables.size(); ++i) {
    if (tables[i].path == table) choice_->setCurrentIndex(static_cast<int>(i));
  }
  // What there is one of in a job is emptied, not taken out; a part has a name and may go.
  const bool item = !table.empty() && (std::holds_alternative<std::size_t>(table.back()) ||
                                       table.front() == TomlStep(std::string("part")));
  copy_->setEnabled(item);
  delete_->setEnabled(item);
  const bool same = table_ == table && SameFields(fields, fields_);
  table_ = table;
  fields_ = fields;
  if (same) {
    Refresh();
  } else {
    Build();
    Tell("");
  }
  filling_ = false;
}

void FormPanel::Tell(const QString& what) {
  message_->setText(what.isEmpty() ? "" : "Not taken: " + what);
  message_->setVisible(!what.isEmpty());
}

void FormPanel::TellFaults(const FormFaults& faults) {
  QStringList whole;
  for (const std::string& fault : faults.of_table) whole << QString::fromStdString(fault);
  fault_->setText(whole.join("\n"));
  fault_->setVisible(!whole.isEmpty());
  for (std::size_t i = 0; i < faults_.size(); ++i) {
    const std::string& fault = i < faults.of_field.size() ? faults.of_field[i] : std::string();
    faults_[i]->setText(QString::fromStdString(fault));
    faults_[i]->setVisible(!fault.empty());
  }
}

QWidget* FormPanel::ChoiceOf(std::size_t i) {
  const FormField& field = fields_[i];
  auto* box = new ChoiceBox;
  box->setEditable(!field.method);
  box->setInsertPolicy(QComboBox::NoInsert);
  box->Offer(field.choices, !field.method);
  connect(box, qOverload<int>(&QComboBox::activated), this, [this, i, box](int) {
    if (filling_) return;
    Give(i, box->currentText(), false);
    if (on_end) on_end();
  });
  if (box->lineEdit() == nullptr) return box;
  box->lineEdit()->setPlaceholderText(QString::fromStdString(field.hint));
  connect(box->lineEdit(), &QLineEdit::editingFinished, this, [this, i, box] {
    if (filling_) return;
    Give(i, box->currentText(), false);
    if (on_end) on_end();
  });
  return box;
}

QWidget* FormPanel::EditorOf(std::size_t i) {
  const FormField& field = fields_[i];
  if (field.kind == FieldKind::lines || field.kind == FieldKind::rows) return LinesOf(i);
  const bool names = field.kind == FieldKind::list && !field.choices.empty();
  if (!field.pieces.empty() || names) return CompoundOf(i);
  if (field.kind == FieldKind::choice || !field.choices.empty()) return ChoiceOf(i);
  auto* line = new AnswerLine(field.kind == FieldKind::number, this);
  line->setPlaceholderText(QString::fromStdString(field.hint));
  connect(line, &QLineEdit::textEdited, this, [this, i](const QString& text) {
    bool good = false;
    text.toDouble(&good);
    // While it is written a number counts at once; anything else when it is finished.
    if (!filling_ && good && fields_[i].kind == FieldKind::number) Give(i, text, true);
  });
  connect(line, &QLineEdit::editingFinished, this, [this, i, line] {
    if (filling_) return;
    Give(i, line->text(), true);
    if (on_end) on_end();
  });
  return line;
}

QWidget* FormPanel::LinesOf(std::size_t i) {
  auto* lines = new AnswerLines(this);
  lines->setPlaceholderText(QString::fromStdString(fields_[i].hint));
  lines->on_end = [this, i, lines] {
    if (filling_ || !lines->document()->isModified()) return;
    Give(i, lines->toPlainText(), false);
    if (on_end) on_end();
  };
  return lines;
}

QWidget* FormPanel::CompoundOf(std::size_t i) {
  CompoundEditor* editor = nullptr;
  if (fields_[i].pieces.empty()) {
    editor = new NamesLine(fields_[i], this);
  } else {
    editor = new PieceLines(fields_[i], this);
  }
  editor->on_answer = [this, i](const QString& answer, bool live) {
    if (!filling_) Give(i, answer, live);
  };
  editor->on_end = [this] {
    if (!filling_ && on_end) on_end();
  };
  return editor;
}

/// The editor with room under it for what is wrong.
QWidget* FormPanel::WithFault(QWidget* editor, const QString& label) {
  auto* both = new QWidget;
  both->setSizePolicy(QSizePolicy::Preferred, QSizePolicy::Maximum);
  auto* layout = new QVBoxLayout(both);
  layout->setContentsMargins(0, 0, 0, 0);
  layout->setSpacing(1);
  layout->addWidget(editor);
  auto* fault = new QLabel(both);
  fault->setObjectName("fault " + label);
  fault->setWordWrap(true);
  fault->hide();
  layout->addWidget(fault);
  faults_.push_back(fault);
  return both;
}

void FormPanel::Give(std::size_t i, const QString& answer, bool live) {
  if (answer.toStdString() == fields_[i].shown) return;
  if (on_answer) on_answer(fields_[i], answer, live);
}

void FormPanel::Finish() {
  for (std::size_t i = 0; i < editors_.size(); ++i) {
    const auto stops = StopsOf(editors_[i]);
    if (std::none_of(stops.begin(), stops.end(), [](auto* stop) { return stop->hasFocus(); })) {
      continue;
    }
    if (auto* compound = dynamic_cast<CompoundEditor*>(editors_[i])) {
      if (const auto written = compound->Written()) Give(i, *written, true);
    }
    if (auto* line = qobject_cast<QLineEdit*>(editors_[i])) Give(i, line->text(), true);
    if (auto* box = qobject_cast<QComboBox*>(editors_[i])) Give(i, box->currentText(), false);
    if (auto* text = qobject_cast<QPlainTextEdit*>(editors_[i]))
      Give(i, text->toPlainText(), false);
    if (on_end) on_end();
    return;
  }
}

void FormPanel::Settle() {
  for (QWidget* editor : editors_) {
    for (QLineEdit* line : LinesIn(editor)) line->setModified(false);
    if (auto* text = qobject_cast<QPlainTextEdit*>(editor)) text->document()->setModified(false);
  }
}

void FormPanel::Build() {
  // An answer may be what asks for another form: its editor must live until it has been told.
  if (QWidget* old = scroll_->takeWidget()) {
    for (QObject* child : old->findChildren<QObject*>()) child->blockSignals(true);
    for (QWidget* editor : editors_) {
      if (auto* lines = dynamic_cast<AnswerLines*>(editor)) lines->on_end = nullptr;
      if (auto* compound = dynamic_cast<CompoundEditor*>(editor)) {
        compound->on_answer = nullptr;
        compound->on_end = nullptr;
      }
    }
    old->hide();
    old->deleteLater();
  }
  auto* inside = new QWidget;
  auto* form = new QFormLayout(inside);
  form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
  form->setContentsMargins(2, 4, 8, 4);
  editors_.clear();
  faults_.clear();
  for (std::size_t i = 0; i < fields_.size(); ++i) {
    QWidget* editor = EditorOf(i);
    const QString label = QString::fromStdString(fields_[i].label);
    editor->setObjectName("field " + label);
    editor->setAccessibleName(label);
    for (QLineEdit* line : LinesIn(editor)) line->installEventFilter(new WindowUndo(line));
    for (QWidget* stop : StopsOf(editor)) stop->installEventFilter(new WindowUndo(stop));
    QWidget* row = WithFault(editor, label);
    form->addRow(label, row);
    editors_.push_back(editor);
  }
  scroll_->setWidget(inside);
  QWidget* before = delete_;
  for (QWidget* editor : editors_) {
    for (QWidget* stop : StopsOf(editor)) {
      setTabOrder(before, stop);
      before = stop;
    }
  }
  Refresh();
}

void FormPanel::Refresh() {
  for (std::size_t i = 0; i < fields_.size(); ++i) {
    const QString shown = QString::fromStdString(fields_[i].shown);
    if (auto* compound = dynamic_cast<CompoundEditor*>(editors_[i])) {
      compound->Show(fields_[i]);
    } else if (auto* box = dynamic_cast<ChoiceBox*>(editors_[i])) {
      box->Offer(fields_[i].choices, !fields_[i].method);
      if (box->currentText() == shown) continue;
      if (box->isEditable()) {
        box->setEditText(shown);
      } else {
        box->setCurrentIndex(box->findText(shown));
      }
    } else if (auto* line = qobject_cast<QLineEdit*>(editors_[i])) {
      // What is half written is not written over with what it came to.
      if (line->text() != shown && !(line->hasFocus() && line->isModified())) line->setText(shown);
    } else if (auto* text = qobject_cast<QPlainTextEdit*>(editors_[i])) {
      const bool writing = text->hasFocus() && text->document()->isModified();
      if (text->toPlainText() != shown && !writing) text->setPlainText(shown);
    }
  }
}

}  // namespace holeward
