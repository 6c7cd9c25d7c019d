#include "viewer/window/section_panel.h"

#include <QCheckBox>
#include <QComboBox>
#include <QHBoxLayout>
#include <QLabel>
#include <QMouseEvent>
#include <QPainter>
#include <QPainterPath>
#include <QPushButton>
#include <QSlider>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

constexpr double kOutside = 24.0;    // mm shown above the skin
constexpr double kSliderStep = 0.1;  // mm
constexpr int kKeyTurn = 5;          // degrees, with Shift one
constexpr double kKeyDepth = 0.5;    // mm, with Shift a tenth

QColor FillOf(CutKind kind) {
  switch (kind) {
    case CutKind::metal: return {178, 187, 196};
    case CutKind::inner_body: return {214, 168, 112};
    case CutKind::fitting: return {160, 168, 158};
    case CutKind::neighbour: return {130, 134, 144};
    case CutKind::drill: return {245, 236, 190, 200};
  }
  return {};
}

}  // namespace

SectionCanvas::SectionCanvas(QWidget* parent) : QWidget(parent) {
  setMinimumSize(260, 220);
  setFocusPolicy(Qt::StrongFocus);
  setObjectName("section-picture");
  setAccessibleName("Section through the drill's axis");
}

void SectionCanvas::Show(std::optional<HoleSection> section, const QString& why_not) {
  section_ = std::move(section);
  why_not_ = why_not;
  update();
}

void SectionCanvas::ShowWorst(bool show) {
  worst_ = show;
  update();
}

double SectionCanvas::Scale() const {
  const double deep = section_ ? section_->deepest + kOutside : 100.0;
  return std::max(0.5, (height() - 44.0) / deep);
}

QPointF SectionCanvas::OnPaper(const Vec2& p) const {
  const double scale = Scale();
  return {0.42 * width() + scale * p.x(), 22.0 + scale * (p.y() + kOutside)};
}

void SectionCanvas::focusInEvent(QFocusEvent*) { update(); }

void SectionCanvas::focusOutEvent(QFocusEvent*) { update(); }

void SectionCanvas::keyPressEvent(QKeyEvent* event) {
  const bool fine = event->modifiers() & Qt::ShiftModifier;
  const double turn = (fine ? 1.0 : kKeyTurn) * kPi / 180.0;
  const double depth = fine ? kSliderStep : kKeyDepth;
  switch (event->key()) {
    case Qt::Key_Left: return on_turn(-turn);
    case Qt::Key_Right: return on_turn(turn);
    case Qt::Key_Up: return on_depth(-depth);
    case Qt::Key_Down: return on_depth(depth);
    default: QWidget::keyPressEvent(event);
  }
}

void SectionCanvas::mousePressEvent(QMouseEvent* event) { last_ = event->pos(); }

void SectionCanvas::mouseMoveEvent(QMouseEvent* event) {
  const QPoint by = event->pos() - last_;
  last_ = event->pos();
  if (!(event->buttons() & Qt::LeftButton)) return;
  if (event->modifiers() & Qt::ShiftModifier) {
    on_turn(0.01 * by.x());
  } else if (by.y() != 0) {
    on_depth(by.y() / Scale());
  }
}

namespace {

/// One painting of a section.
class SectionPainter {
 public:
  template <class ToPaper>
  SectionPainter(QPainter& painter, ToPaper to_paper, QSize size)
      : painter_(painter), on_paper_(to_paper), size_(size) {}

  void Region(const CutRegion& region, const QPen& pen, const QBrush& brush) {
    QPainterPath path;
    path.setFillRule(Qt::OddEvenFill);
    for (const CutLoop& loop : region.loops) {
      QPolygonF polygon;
      for (const Vec2& p : loop.points) polygon << on_paper_(p);
      path.addPolygon(polygon);
      path.closeSubpath();
    }
    painter_.fillPath(path, brush);
    painter_.setPen(pen);
    for (const CutLoop& loop : region.loops) {
      for (std::size_t i = 0; i < loop.points.size(); ++i) {
        if (i < loop.drawn.size() && !loop.drawn[i]) continue;
        painter_.drawLine(on_paper_(loop.points[i]),
                          on_paper_(loop.points[(i + 1) % loop.points.size()]));
      }
    }
  }

  /// Words at the right, each with a line to its depth, pushed apart where they would touch.
  void Levels(std::vector<SectionLevel> levels) {
    std::sort(levels.begin(), levels.end(),
              [](const auto& a, const auto& b) { return a.depth < b.depth; });
    const double line = painter_.fontMetrics().height() + 2.0;
    double below = 30.0;
    double widest = 0.0;
    for (const SectionLevel& level : levels) {
      widest = std::max(
          widest,
          painter_.fontMetrics().horizontalAdvance(QString::fromStdString(level.words)) + 0.0);
    }
    const double x = std::min(0.66 * size_.width(), size_.width() - widest - 8.0);
    for (const SectionLevel& level : levels) {
      const QPointF at = on_paper_({0.0, level.depth});
      const double y = std::max(below, at.y() + 0.3 * line);
      below = y + line;
      painter_.setPen(QPen(QColor(90, 96, 108), 1.0, Qt::DashLine));
      painter_.drawLine(QPointF(at.x() - 30.0, at.y()), QPointF(x - 14.0, at.y()));
      painter_.drawLine(QPointF(x - 14.0, at.y()), QPointF(x - 3.0, y - 0.3 * line));
      painter_.setPen(QColor(20, 22, 26));
      const QString words = QString::fromStdString(level.words);
      painter_.fillRect(QRectF(x - 3.0, y - line + 5.0,
                               painter_.fontMetrics().horizontalAdvance(words) + 6.0, line),
                        QColor(255, 255, 255, 225));
      painter_.drawText(QPointF(x, y), words);
    }
  }

  /// Along the axis, to the left of it.
  void Dimension(const SectionDimension& dimension, int column) {
    const double x = on_paper_({0.0, 0.0}).x() - 62.0 - 20.0 * column;
    const double from = on_paper_({0.0, dimension.from}).y();
    const double to = on_paper_({0.0, dimension.to}).y();
    painter_.setPen(QPen(QColor(20, 22, 26), 1.0));
    painter_.drawLine(QPointF(x, from), QPointF(x, to));
    for (const double y : {from, to}) {
      painter_.drawLine(QPointF(x - 4.0, y), QPointF(x + 4.0, y));
    }
    const QString words = QString::fromStdString(dimension.words);
    const double width = painter_.fontMetrics().horizontalAdvance(words);
    const QRectF box(std::max(2.0, x - 8.0 - width), 0.5 * (from + to) - 9.0, width + 4.0, 18.0);
    painter_.fillRect(box, QColor(255, 255, 255, 215));
    painter_.drawText(box, Qt::AlignCenter, words);
  }

  void Corner(const HoleSection& section) {
    painter_.setPen(QColor(20, 22, 26));
    QFont bold = painter_.font();
    bold.setBold(true);
    painter_.setFont(bold);
    painter_.drawText(QPointF(6.0, 15.0), QString::fromStdString(section.title));
    bold.setBold(false);
    painter_.setFont(bold);
    const double bottom = size_.height() - 6.0;
    painter_.drawText(QPointF(6.0, bottom), QString::fromStdString(section.left_word));
    const QString right = QString::fromStdString(section.right_word);
    painter_.drawText(
        QPointF(size_.width() - 6.0 - painter_.fontMetrics().horizontalAdvance(right), bottom),
        right);
    const QString down = QString::fromStdString(section.tip_word);
    painter_.drawText(
        QPointF(0.42 * size_.width() - 0.5 * painter_.fontMetrics().horizontalAdvance(down),
                bottom),
        down);
  }

 private:
  QPainter& painter_;
  std::function<QPointF(const Vec2&)> on_paper_;
  QSize size_;
};

}  // namespace

void SectionCanvas::paintEvent(QPaintEvent*) {
  QPainter painter(this);
  painter.setRenderHint(QPainter::Antialiasing);
  painter.fillRect(rect(), Qt::white);
  if (hasFocus()) {
    painter.setPen(QPen(palette().color(QPalette::Highlight), 2.0));
    painter.drawRect(rect().adjusted(1, 1, -1, -1));
  }
  if (!section_) {
    painter.setPen(QColor(60, 64, 72));
    painter.drawText(rect().adjusted(20, 0, -20, 0), Qt::AlignCenter | Qt::TextWordWrap, why_not_);
    return;
  }
  SectionPainter paint(
      painter, [this](const Vec2& p) { return OnPaper(p); }, size());
  for (const CutRegion& region : section_->regions) {
    paint.Region(region, QPen(QColor(40, 44, 52), 1.2), FillOf(region.kind));
  }
  if (worst_ && section_->worst) {
    paint.Region(*section_->worst, QPen(QColor(150, 60, 50), 1.2, Qt::DashDotLine), Qt::NoBrush);
  }
  paint.Region(section_->drill, QPen(QColor(20, 22, 26), 1.4), FillOf(CutKind::drill));
  painter.setPen(QPen(QColor(60, 64, 72), 0.9, Qt::DashDotLine));
  painter.drawLine(OnPaper({0.0, -kOutside}), OnPaper({0.0, section_->deepest}));
  if (section_->contact) {
    const QPointF at = OnPaper(*section_->contact);
    painter.setPen(QPen(QColor(160, 30, 20), 2.0));
    painter.drawLine(at - QPointF(6, 6), at + QPointF(6, 6));
    painter.drawLine(at - QPointF(6, -6), at + QPointF(6, -6));
  }
  std::vector<double> ends;  // of the last dimension in each column
  std::vector<SectionDimension> dimensions = section_->dimensions;
  std::sort(dimensions.begin(), dimensions.end(),
            [](const auto& a, const auto& b) { return a.from < b.from; });
  for (const SectionDimension& dimension : dimensions) {
    std::size_t column = 0;
    while (column < ends.size() && ends[column] > dimension.from) ++column;
    if (column == ends.size()) ends.push_back(0.0);
    ends[column] = dimension.to;
    paint.Dimension(dimension, static_cast<int>(column));
  }
  paint.Levels(section_->levels);
  paint.Corner(*section_);
}

SectionPanel::SectionPanel(QWidget* parent)
    : QWidget(parent),
      stage_(new QComboBox(this)),
      depth_(new QSlider(Qt::Horizontal, this)),
      turn_(new QSlider(Qt::Horizontal, this)),
      worst_(new QCheckBox("Worst-held drill", this)),
      now_(new QLabel(this)),
      picture_(new SectionCanvas(this)) {
  stage_->setAccessibleName("Stage");
  depth_->setObjectName("depth");
  depth_->setAccessibleName("Depth of the tip");
  turn_->setObjectName("turn");
  turn_->setAccessibleName("Turn of the plane about the axis");
  turn_->setRange(-90, 90);
  turn_->setPageStep(15);
  now_->setWordWrap(true);
  now_->setObjectName("section-now");
  auto* to_stop = new QPushButton("To the stop", this);
  auto* top = new QHBoxLayout;
  top->addWidget(stage_);
  top->addWidget(worst_);
  top->addStretch(1);
  top->addWidget(to_stop);
  auto* bottom = new QHBoxLayout;
  bottom->addWidget(new QLabel("Depth", this));
  bottom->addWidget(depth_, 2);
  bottom->addWidget(new QLabel("Turn", this));
  bottom->addWidget(turn_, 1);
  auto* layout = new QVBoxLayout(this);
  layout->setContentsMargins(6, 6, 6, 6);
  layout->addLayout(top);
  layout->addWidget(picture_, 1);
  layout->addWidget(now_);
  layout->addLayout(bottom);
  connect(stage_, qOverload<int>(&QComboBox::activated), this, [this](int at) {
    wish_.stage = at + 1;
    wish_.depth.reset();
    Redraw();
  });
  connect(depth_, &QSlider::valueChanged, this, [this](int value) {
    if (filling_) return;
    wish_.depth = kSliderStep * value;
    Redraw();
  });
  connect(turn_, &QSlider::valueChanged, this, [this](int value) {
    wish_.turn = value * kPi / 180.0;
    Redraw();
  });
  connect(worst_, &QCheckBox::toggled, this, [this](bool on) { picture_->ShowWorst(on); });
  connect(to_stop, &QPushButton::clicked, this, [this] { ToStop(); });
  picture_->on_depth = [this](double by) { Push(by); };
  picture_->on_turn = [this](double by) { Turn(static_cast<int>(std::lround(by * 180.0 / kPi))); };
}

void SectionPanel::Turn(int by_degrees) {
  int turn = (turn_->value() + by_degrees) % 180;
  if (turn > 90) turn -= 180;
  if (turn < -90) turn += 180;
  turn_->setValue(turn);
}

void SectionPanel::Push(double by_mm) {
  depth_->setValue(depth_->value() + static_cast<int>(std::lround(by_mm / kSliderStep)));
}

void SectionPanel::ToStop() {
  wish_.depth.reset();
  Redraw();
}

void SectionPanel::NextStage() {
  if (stage_->count() == 0) return;
  wish_.stage = wish_.stage % stage_->count() + 1;
  stage_->setCurrentIndex(wish_.stage - 1);
  ToStop();
}

void SectionPanel::Show(std::shared_ptr<const JobState> state, std::optional<std::size_t> side,
                        const std::string& point) {
  if (state != state_) {
    state_ = std::move(state);
    sections_ = state_ ? std::make_unique<HoleSections>(state_) : nullptr;
  }
  if (point != wish_.point || side.value_or(0) != wish_.side) {
    wish_ = {side.value_or(0), point, 1, wish_.turn, std::nullopt};
  }
  Fill();
  if (isVisible()) Redraw();
}

void SectionPanel::Fill() {
  const PointRow* row = state_ ? state_->job.FindPoint(wish_.point) : nullptr;
  const int stages = row == nullptr ? 0 : static_cast<int>(row->drill.size());
  wish_.stage = std::clamp(wish_.stage, 1, std::max(1, stages));
  stage_->clear();
  for (int i = 0; i < stages; ++i) {
    stage_->addItem(QString("Stage %1: %2 mm")
                        .arg(i + 1)
                        .arg(row->drill[static_cast<std::size_t>(i)], 0, 'g', 4));
  }
  stage_->setCurrentIndex(wish_.stage - 1);
}

void SectionPanel::Redraw() {
  if (!sections_) return;
  auto section = sections_->At(wish_);
  if (!section) {
    now_->clear();
    picture_->Show(std::nullopt, QString::fromStdString(section.error().message));
    return;
  }
  filling_ = true;
  depth_->setRange(0, static_cast<int>(section->deepest / kSliderStep));
  depth_->setValue(static_cast<int>(std::lround(section->depth / kSliderStep)));
  filling_ = false;
  now_->setText(QString::fromStdString(section->now));
  picture_->Show(std::move(*section), "");
}

}  // namespace holeward
