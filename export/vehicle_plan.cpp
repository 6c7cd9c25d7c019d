#include "export/vehicle_plan.h"

#include <algorithm>

namespace holeward {
namespace {

// Shares of the body's length.
constexpr double kWidth = 0.5;
constexpr double kNoseCut = 0.10;
constexpr double kTailCut = 0.04;
constexpr double kScreenTop = 0.80;
constexpr double kScreenFoot = 0.70;
constexpr double kFrontAxle = 0.80;
constexpr double kRearAxle = 0.20;
constexpr double kWheelLength = 0.17;
constexpr double kWheelWidth = 0.07;
// FRONT stands above the body.
constexpr double kWordHeight = kText18;
constexpr double kWordRoom = kWordHeight + 1.0;

// Places of the body from shares: across -1 (left) to 1 (right), along 0 (tail) to 1 (nose).
struct Body {
  Box box;
  [[nodiscard]] Vec2 At(double across, double along) const {
    return {box.Centre().x() + 0.5 * across * box.Size().x(), box.low.y() + along * box.Size().y()};
  }
};

void DrawWheel(const Body& body, double across, double along, Drawing* drawing) {
  const double length = body.box.Size().y();
  const Vec2 middle = body.At(across, along);
  const Vec2 half(0.5 * kWheelWidth * length, 0.5 * kWheelLength * length);
  drawing->AddBox(Group::frame, {middle - half, middle + half}, kMiddleWidth);
}

void DrawBody(const Body& body, Drawing* drawing) {
  const double nose = 1.0 - kNoseCut, tail = kTailCut;
  const std::vector<Vec2> outline = {body.At(-0.85, 0.0), body.At(0.85, 0.0), body.At(1.0, tail),
                                     body.At(1.0, nose),  body.At(0.6, 1.0),  body.At(-0.6, 1.0),
                                     body.At(-1.0, nose), body.At(-1.0, tail)};
  drawing->Add(Group::frame, Stroke{outline, kWideWidth, LineType::continuous, true});
  const std::vector<Vec2> screen = {body.At(-0.72, kScreenFoot), body.At(0.72, kScreenFoot),
                                    body.At(0.85, kScreenTop), body.At(-0.85, kScreenTop)};
  drawing->Add(Group::frame, Stroke{screen, kNarrowWidth, LineType::continuous, true});
}

}  // namespace

double VehiclePlanWidth(double height) {
  return std::max((height - kWordRoom) * (kWidth + kWheelWidth), 5.0 * kWordHeight);
}

void DrawVehiclePlan(const Box& box, const PlanCorner& corner, const Words& words,
                     Drawing* drawing) {
  const double height = box.Size().y(), length = height - kWordRoom;
  const double middle = box.low.x() + 0.5 * VehiclePlanWidth(height);
  const double half = 0.5 * kWidth * length;
  const Body body{{{middle - half, box.low.y()}, {middle + half, box.low.y() + length}}};
  for (const double across : {-1.0, 1.0}) {
    DrawWheel(body, across, kFrontAxle, drawing);
    DrawWheel(body, across, kRearAxle, drawing);
  }
  DrawBody(body, drawing);
  const double aside = corner.side == Side::left ? -1.0 : 1.0;
  const double from = corner.axle == Axle::front ? 0.5 : 0.0;
  const double to = corner.axle == Axle::rear ? 0.5 : 1.0;
  const double reach = 1.0 + kWheelWidth / kWidth;
  Vec2 a = body.At(0.0, from), b = body.At(aside * reach, to);
  drawing->Add(Group::frame, Fill{CornersOf({a.cwiseMin(b), a.cwiseMax(b)}), Ink::black});
  drawing->Add(Group::text, TextAt(words.Say("FRONT"), {middle, box.high.y() - kWordHeight},
                                   kWordHeight, true, AlignX::centre));
}

}  // namespace holeward
