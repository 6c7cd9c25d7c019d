#include "viewer/window/view_overlay.h"

#include <cmath>

#include <vtkActor2D.h>
#include <vtkCellArray.h>
#include <vtkCellData.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>
#include <vtkPolyDataMapper2D.h>
#include <vtkProperty2D.h>
#include <vtkRenderer.h>
#include <vtkTextActor.h>
#include <vtkTextProperty.h>
#include <vtkUnsignedCharArray.h>

#include "viewer/window/view_font.h"

namespace holeward {
namespace {

constexpr Ink3 kBlack = {20, 22, 26};
constexpr Ink3 kWhite = {255, 255, 255};
constexpr int kFont = 12;
constexpr std::size_t kMostSizes = 2000;  // kept of words that were measured
constexpr double kPad = 3.0;              // pixels round words

vtkSmartPointer<vtkPolyData> Sheet(vtkRenderer* renderer, double width) {
  auto data = vtkSmartPointer<vtkPolyData>::New();
  auto mapper = vtkSmartPointer<vtkPolyDataMapper2D>::New();
  mapper->SetInputData(data);
  mapper->SetScalarModeToUseCellData();
  auto actor = vtkSmartPointer<vtkActor2D>::New();
  actor->SetMapper(mapper);
  actor->GetProperty()->SetLineWidth(static_cast<float>(width));
  renderer->AddActor2D(actor);
  return data;
}

void Empty(vtkPolyData* data, bool fill) {
  auto points = vtkSmartPointer<vtkPoints>::New();
  auto cells = vtkSmartPointer<vtkCellArray>::New();
  auto inks = vtkSmartPointer<vtkUnsignedCharArray>::New();
  inks->SetNumberOfComponents(3);
  data->Initialize();
  data->SetPoints(points);
  if (fill) {
    data->SetPolys(cells);
  } else {
    data->SetLines(cells);
  }
  data->GetCellData()->SetScalars(inks);
}

void Style(vtkTextActor* actor, int size, bool strong) {
  vtkTextProperty* text = actor->GetTextProperty();
  UseLettering(text, strong);
  text->SetFontSize(size);
  text->SetColor(0.05, 0.06, 0.08);
  text->SetJustificationToLeft();
  text->SetVerticalJustificationToBottom();
}

std::vector<Vec2> Ring(const Vec2& at, double radius, int corners, double turn) {
  std::vector<Vec2> places;
  for (int i = 0; i <= corners; ++i) {
    const double angle = turn + 2.0 * kPi * i / corners;
    places.emplace_back(at + radius * Vec2(std::cos(angle), std::sin(angle)));
  }
  return places;
}

}  // namespace

ViewOverlay::ViewOverlay(vtkRenderer* renderer)
    : renderer_(renderer),
      lines_(nullptr),
      fills_(Sheet(renderer, 1.0)),
      measure_(vtkSmartPointer<vtkTextActor>::New()) {
  lines_ = Sheet(renderer, 1.6);  // over the filled shapes
  Empty(lines_, false);
  Empty(fills_, true);
}

void ViewOverlay::Clear() {
  Empty(lines_, false);
  Empty(fills_, true);
  words_used_ = 0;
  const int size = LetterSize(renderer_, kFont * scale_);
  if (size != size_) sizes_.clear();
  size_ = size;
}

void ViewOverlay::AddCell(bool fill, const std::vector<Vec2>& places, const Ink3& ink) {
  vtkPolyData* data = fill ? fills_ : lines_;
  vtkCellArray* cells = fill ? data->GetPolys() : data->GetLines();
  cells->InsertNextCell(static_cast<int>(places.size()));
  for (const Vec2& place : places) {
    cells->InsertCellPoint(data->GetPoints()->InsertNextPoint(place.x(), place.y(), 0.0));
  }
  vtkUnsignedCharArray::SafeDownCast(data->GetCellData()->GetScalars())
      ->InsertNextTypedTuple(ink.data());
}

void ViewOverlay::Line(const std::vector<Vec2>& places, const Ink3& ink) {
  AddCell(false, places, ink);
}

void ViewOverlay::Fill(const std::vector<Vec2>& places, const Ink3& ink) {
  AddCell(true, places, ink);
}

void ViewOverlay::SetScale(double scale) {
  if (scale != scale_) sizes_.clear();
  scale_ = scale;
}

Vec2 ViewOverlay::SizeOf(const std::string& words) {
  const auto known = sizes_.find(words);
  if (known != sizes_.end()) return known->second;
  Style(measure_, size_, true);
  measure_->SetInput(words.c_str());
  double size[2] = {0.0, 0.0};
  measure_->GetSize(renderer_, size);
  const Vec2 box(size[0] + 2.0 * kPad * scale_, size[1] + 2.0 * kPad * scale_);
  if (sizes_.size() > kMostSizes) sizes_.clear();
  return sizes_[words] = box;
}

void ViewOverlay::Words(const std::string& words, const Vec2& at, bool strong) {
  if (words_used_ == words_.size()) {
    words_.push_back(vtkSmartPointer<vtkTextActor>::New());
    renderer_->AddActor2D(words_.back());
  }
  const Vec2 size = SizeOf(words);
  const Vec2 up(0.0, size.y());
  const Vec2 across(size.x(), 0.0);
  const std::vector<Vec2> box = {at, at + across, at + size, at + up, at};
  Fill(box, strong ? Ink3{255, 247, 214} : kWhite);
  if (strong) Line(box, kBlack);
  vtkTextActor* actor = words_[words_used_++];
  Style(actor, size_, strong);
  actor->SetInput(words.c_str());
  actor->SetPosition(at.x() + kPad * scale_, at.y() + kPad * scale_);
  actor->SetVisibility(1);
}

void ViewOverlay::Mark(const Vec2& at, bool has_verdict, Verdict verdict, bool chosen) {
  const double r = (chosen ? 8.0 : 6.0) * scale_;
  const Vec2 across(0.62 * r, 0.62 * r);
  const Vec2 other(0.62 * r, -0.62 * r);
  if (chosen) {
    Fill(Ring(at, 1.7 * r, 24, 0.0), {255, 221, 87});
    Line(Ring(at, 1.7 * r, 24, 0.0), kBlack);
  }
  if (!has_verdict) {
    Line({at - Vec2(r, 0), at + Vec2(r, 0)}, kBlack);
    Line({at - Vec2(0, r), at + Vec2(0, r)}, kBlack);
    return;
  }
  switch (verdict) {
    case Verdict::clear: {
      Fill(Ring(at, r, 20, 0.0), {203, 232, 209});
      Line(Ring(at, r, 20, 0.0), kBlack);
      break;
    }
    case Verdict::tight: {
      const auto triangle = Ring(at, 1.25 * r, 3, 0.5 * kPi);
      Fill(triangle, {255, 214, 153});
      Line(triangle, kBlack);
      break;
    }
    case Verdict::unproven: {
      const auto square = Ring(at, 1.2 * r, 4, 0.25 * kPi);
      Fill(square, kWhite);
      Line(square, kBlack);
      break;
    }
    case Verdict::contact: {
      Fill(Ring(at, r, 20, 0.0), {240, 150, 140});
      Line(Ring(at, r, 20, 0.0), kBlack);
      Line({at - across, at + across}, kBlack);
      Line({at - other, at + other}, kBlack);
      return;
    }
  }
  Fill(Ring(at, 0.22 * r, 8, 0.0), kBlack);
}

void ViewOverlay::Done() {
  for (std::size_t i = words_used_; i < words_.size(); ++i) words_[i]->SetVisibility(0);
  lines_->Modified();
  fills_->Modified();
}

}  // namespace holeward
