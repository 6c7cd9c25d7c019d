// Reading between two places: by click or by choosing points.
#include <QAction>
#include <QStatusBar>
#include <QTabWidget>

#include "geometry/mirrored.h"
#include "models/place_words.h"
#include "models/rule_reading.h"
#include "viewer/window/main_window.h"
#include "viewer/window/reading_panel.h"
#include "viewer/window/view_widget.h"

namespace holeward {
namespace {

QString Shown(const std::string& text) { return QString::fromStdString(text); }

}  // namespace

void MainWindow::SetReadingMode(bool on) {
  picks_.clear();
  view_->SetPicking(on);
  view_->scene().SetReading(std::nullopt);
  view_->Redraw();
  statusBar()->clearMessage();
  if (on) {
    statusBar()->showMessage(
        "Click two places of one part, choose two points, or write them: tape, rule, square and "
        "girth are read.");
    tabs_->setCurrentWidget(read_);
    if (model_.chosen()) PickPoint(*model_.chosen());
  }
}

void MainWindow::Pick(const SkinPick& pick, const QString& words) {
  const auto index = model_.SideIndex(pick.side);
  if (!index) return;
  const auto& sides = model_.state()->sides;
  const Part* part = sides[*index].scene->FindPart(pick.part);
  if (part == nullptr) return;
  // A part that serves both sides stands there once, as seen from the first of them.
  const SideState& side = part->shared ? sides.front() : sides[*index];
  part = side.scene->FindPart(pick.part);
  if (part == nullptr) return;
  SkinPick one = pick;
  one.side = side.side;
  const bool other = !picks_.empty() && (picks_[0].part != one.part || picks_[0].side != one.side);
  if (picks_.size() >= 2 || other) picks_.clear();
  if (picks_.empty()) said_ = {};
  const auto hit = part->skin->Project(side.mirrored ? Mirrored(one.position) : one.position);
  const double unit = model_.state()->job.inches ? kInch : 1.0;
  said_[picks_.size()] =
      words.isEmpty() && hit ? Shown(WordsOfPlace(*part, hit->place, unit)) : words;
  picks_.push_back(one);
  read_->ShowPlaces(WordOf(one.side), Shown(part->name), said_);
  ShowReading(*part, side);
}

void MainWindow::ShowReading(const Part& part, const SideState& side) {
  std::vector<SkinPlace> places;
  for (const SkinPick& one : picks_) {
    const auto hit = part.skin->Project(side.mirrored ? Mirrored(one.position) : one.position);
    if (!hit) return;
    places.push_back(hit->place);
  }
  const bool inches = model_.state()->job.inches;
  const auto mm = [&](double value) {
    return inches ? QString::number(value / kInch, 'f', 3) + " in"
                  : QString::number(value, 'f', 1) + " mm";
  };
  const std::string start =
      side.mirrored && part.shared ? EndsExchanged(part.start, part) : part.start;
  const auto place = [&](const SkinPlace& at) {
    return QString("station %1 from %2, girth %3")
        .arg(mm(part.skin->StationOf(at.u)), Shown(start), mm(part.skin->GirthOf(at.u, at.v)));
  };
  if (places.size() == 1) {
    view_->scene().SetReading(std::nullopt);
    statusBar()->showMessage(
        QString("%1: %2. Now the second place.").arg(Shown(part.name), place(places[0])));
    read_->ShowResult({place(places[0])});
    view_->Redraw();
    return;
  }
  PlaceReading reading = ReadBetween(part, places[0], places[1]);
  for (Vec3& at : reading.path) at = side.mirrored ? Mirrored(at) : at;
  const QString tape = reading.tape ? mm(*reading.tape) : Shown(reading.no_tape);
  statusBar()->showMessage(QString("tape %1, rule %2, square along %3, across %4; from %5 to %6")
                               .arg(tape, mm(reading.rule), mm(reading.square_along),
                                    mm(reading.square_across), place(places[0]), place(places[1])));
  read_->ShowResult(
      {"tape " + tape, "rule " + mm(reading.rule),
       "square " + mm(reading.square_along) + " along, " + mm(reading.square_across) + " across",
       "girth " + mm(reading.girth) + " round the section of the first", "from " + place(places[0]),
       "to " + place(places[1])});
  view_->scene().SetReading(ShownReading{
      reading.path, QString("tape %1, rule %2").arg(tape, mm(reading.rule)).toStdString()});
  view_->Redraw();
}

void MainWindow::PickPoint(const ChosenPoint& chosen) {
  const auto index = model_.SideIndex(chosen.side);
  const PlacedPoint* placed = index ? model_.state()->Placed(*index, chosen.point) : nullptr;
  if (placed == nullptr) return;
  const bool mirrored = model_.state()->sides[*index].mirrored;
  Pick({placed->part, chosen.side, mirrored ? Mirrored(placed->position) : placed->position},
       Shown(chosen.point));
}

void MainWindow::OfferPlaces() {
  std::vector<ReadingGround> grounds;
  for (const SideState& side : model_.state()->sides) {
    for (const Part& part : side.scene->parts) {
      // A part that serves both sides stands there once, as seen from the first of them.
      if (part.shared && &side != &model_.state()->sides.front()) continue;
      QStringList places;
      for (const std::string& name : NamedPlaces(part, side.points)) places << Shown(name);
      grounds.push_back({WordOf(side.side), Shown(part.name), places});
    }
  }
  read_->Offer(grounds);
}

void MainWindow::ReadPlaces(const QString& side, const QString& part,
                            const std::array<QString, 2>& places) {
  const Side wanted = side == WordOf(Side::left) ? Side::left : Side::right;
  const auto index = model_.SideIndex(wanted);
  if (!index) return;
  const SideState& on = model_.state()->sides[*index];
  const Part* body = on.scene->FindPart(part.toStdString());
  if (body == nullptr) return;
  picks_.clear();
  said_ = places;
  view_->scene().SetReading(std::nullopt);
  const double unit = model_.state()->job.inches ? kInch : 1.0;
  for (const QString& words : places) {
    if (words.trimmed().isEmpty()) continue;
    const auto place = PlaceInWords(*body, on.points, words.toStdString(), unit);
    if (!place) {
      read_->ShowResult({Shown(place.error().message)});
      view_->Redraw();
      return;
    }
    const Vec3 at = body->skin->At(*place).position;
    picks_.push_back({body->name, wanted, on.mirrored ? Mirrored(at) : at});
  }
  if (!picks_.empty()) ShowReading(*body, on);
}

}  // namespace holeward
