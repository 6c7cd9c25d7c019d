// The editors of a form's fields: lines, choices, texts, values of several pieces, lists of names.
#pragma once

#include <QComboBox>
#include <QLineEdit>
#include <QPlainTextEdit>
#include <QWidget>
#include <functional>
#include <optional>
#include <vector>

#include "models/job_form.h"

class QMenu;
class QPushButton;

namespace holeward {

/// A line for an answer; a number goes up and down with the arrow keys and the wheel.
class AnswerLine : public QLineEdit {
 public:
  AnswerLine(bool number, QWidget* parent) : QLineEdit(parent), number_(number) {}

 protected:
  void keyPressEvent(QKeyEvent* event) override;
  void wheelEvent(QWheelEvent* event) override;

 private:
  void Step(double by);
  bool number_;
};

/// Choices that the wheel does not change in passing.
class ChoiceBox : public QComboBox {
 public:
  /// Offers other words; what is written stays.
  void Offer(const std::vector<std::string>& choices, bool blank);

 protected:
  void wheelEvent(QWheelEvent* event) override;
};

/// Several lines of text; Tab goes on to the next field, and leaving it gives the answer.
class AnswerLines : public QPlainTextEdit {
 public:
  explicit AnswerLines(QWidget* parent);
  std::function<void()> on_end;

 protected:
  void focusOutEvent(QFocusEvent* event) override;
};

/// An editor of several widgets.
class CompoundEditor : public QWidget {
 public:
  using QWidget::QWidget;
  /// Shows what stands in the text; what is half written keeps its place.
  virtual void Show(const FormField& field) = 0;
  /// What is written now; nothing while pieces are missing.
  [[nodiscard]] virtual std::optional<QString> Written() const = 0;
  /// The widgets that take keys, in order, and the lines among them.
  [[nodiscard]] virtual std::vector<QWidget*> Stops() const = 0;
  [[nodiscard]] virtual std::vector<QLineEdit*> Lines() const = 0;

  std::function<void(const QString& answer, bool live)> on_answer;
  std::function<void()> on_end;
};

/// A line for each piece of a value, its name before it.
class PieceLines : public CompoundEditor {
 public:
  PieceLines(const FormField& field, QWidget* parent);
  void Show(const FormField& field) override;
  [[nodiscard]] std::optional<QString> Written() const override;
  [[nodiscard]] std::vector<QWidget*> Stops() const override { return stops_; }
  [[nodiscard]] std::vector<QLineEdit*> Lines() const override { return lines_; }

 private:
  void Typed(std::size_t piece);
  void Ended();
  [[nodiscard]] std::vector<std::string> Pieces() const;

  FormField field_;
  std::vector<QWidget*> stops_;
  std::vector<QLineEdit*> lines_;
};

/// A list of names, written or chosen from a menu.
class NamesLine : public CompoundEditor {
 public:
  NamesLine(const FormField& field, QWidget* parent);
  void Show(const FormField& field) override;
  [[nodiscard]] std::optional<QString> Written() const override;
  [[nodiscard]] std::vector<QWidget*> Stops() const override;
  [[nodiscard]] std::vector<QLineEdit*> Lines() const override { return {line_}; }

 private:
  void FillMenu();
  void Toggle(const QString& name, bool on);
  [[nodiscard]] QStringList Names() const;

  QLineEdit* line_;
  QPushButton* choose_;
  QMenu* menu_;
  QStringList choices_;
};

}  // namespace holeward
