// The section at the chosen hole: turned about the drill's axis, the drill at any depth.
#pragma once

#include <QWidget>
#include <functional>
#include <memory>
#include <optional>

#include "viewer/hole_section.h"

class QCheckBox;
class QComboBox;
class QLabel;
class QSlider;

namespace holeward {

/// Draws a section; a drag up and down moves the drill, and so do the arrow keys.
class SectionCanvas : public QWidget {
 public:
  explicit SectionCanvas(QWidget* parent = nullptr);
  void Show(std::optional<HoleSection> section, const QString& why_not);
  void ShowWorst(bool show);

  std::function<void(double by_mm)> on_depth;
  std::function<void(double by_radians)> on_turn;

 protected:
  void paintEvent(QPaintEvent* event) override;
  void focusInEvent(QFocusEvent* event) override;
  void focusOutEvent(QFocusEvent* event) override;
  void keyPressEvent(QKeyEvent* event) override;
  void mousePressEvent(QMouseEvent* event) override;
  void mouseMoveEvent(QMouseEvent* event) override;

 private:
  [[nodiscard]] double Scale() const;
  [[nodiscard]] QPointF OnPaper(const Vec2& p) const;

  std::optional<HoleSection> section_;
  QString why_not_;
  QPoint last_;
  bool worst_ = false;
};

class SectionPanel : public QWidget {
 public:
  explicit SectionPanel(QWidget* parent = nullptr);

  /// The hole to show; nothing: none is chosen.
  void Show(std::shared_ptr<const JobState> state, std::optional<std::size_t> side,
            const std::string& point);
  /// Turns the plane about the axis, by degrees; half a turn is the same plane again.
  void Turn(int by_degrees);
  /// Moves the drill along its axis, mm, as far as there is something to see.
  void Push(double by_mm);
  /// The drill back at its stop.
  void ToStop();
  /// The hole's next stage, the first after the last.
  void NextStage();

 private:
  void Fill();
  void Redraw();

  QComboBox* stage_;
  QSlider* depth_;
  QSlider* turn_;
  QCheckBox* worst_;
  QLabel* now_;
  SectionCanvas* picture_;
  std::shared_ptr<const JobState> state_;
  std::unique_ptr<HoleSections> sections_;
  SectionWish wish_;
  bool filling_ = false;
};

}  // namespace holeward
