#include "models/bench_form.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "models/bench_choice.h"
#include "models/bench_instruments.h"
#include "models/part_words.h"

namespace holeward {
namespace {

// More rows than this do not fit a page, nor a morning.
constexpr std::size_t kMostFormRows = 12;
constexpr std::size_t kMostSpares = 12;
// What lies between part and straightedge, and part and bench, in the drawing, mm.
constexpr double kClear = 25.0;

std::vector<StationRow> RowsOf(const PartRow& part) {
  const std::size_t n = part.stations.size();
  if (n <= kMostFormRows) return part.stations;
  std::vector<StationRow> rows;
  for (std::size_t i = 0; i < kMostFormRows; ++i) {
    rows.push_back(part.stations[i * (n - 1) / (kMostFormRows - 1)]);
  }
  return rows;
}

/// One form under way.
class FormMaker {
 public:
  FormMaker(const PartRow& part, Side described, const BenchSheet* bench)
      : part_(part), described_(described), bench_(bench) {
    round_ = part.section == SectionKind::round;
  }

  MeasuringForm Run(const PartWords& words) {
    const Vec3 chord = part_.stations.back().centre - part_.stations.front().centre;
    const bool across = words.lies == Lies::across;
    const std::string forth = across ? "outboard" : "front";
    const std::string back = across ? "inboard" : "rear";
    const Vec3 way = DirectionOf(forth, described_).value_or(Vec3::UnitY());
    form_.part = part_.name;
    form_.toward = chord.dot(way) >= 0.0 ? forth : back;
    form_.lateral = {words.a_minus, words.a_plus};
    form_.straightedge = words.a_minus;
    if (bench_) {
      form_.toward = bench_->toward;
      form_.straightedge = bench_->straightedge;
    }
    form_.round = round_;
    away_ = form_.straightedge == words.a_minus ? 1.0 : -1.0;
    Rows(DirectionOf(form_.toward, described_).value_or(way),
         away_ * DirectionOf(words.a_plus, described_).value_or(Vec3::UnitX()));
    Sheet();
    form_.spares = ChooseSpares(part_, sheet_, described_, kMostSpares);
    // Along the part, kind by kind, as a person goes.
    std::stable_sort(form_.spares.begin(), form_.spares.end(),
                     [](const BenchReading& a, const BenchReading& b) {
                       const auto key = [](const BenchReading& r) {
                         return std::pair(r.kind, r.row.value_or(r.from.row));
                       };
                       return key(a) < key(b);
                     });
    return std::move(form_);
  }

 private:
  void Rows(const Vec3& along, const Vec3& across) {
    double low = 1e9;
    double nearest = 1e9;
    const auto stations = RowsOf(part_);
    for (const StationRow& s : stations) {
      const double w = 0.5 * (round_ ? s.diameter : s.width);
      const double h = 0.5 * (round_ ? s.diameter : s.height);
      FormRow row;
      row.distance = along.dot(s.centre - stations.front().centre);
      // Of the faces toward rear and front: where the straightedge is in front they grow rearward.
      row.offset = {across.dot(s.centre) - away_ * w, across.dot(s.centre) + away_ * w};
      row.height = {s.centre.z() - h, s.centre.z() + h};
      nearest = std::min({nearest, row.offset[0], row.offset[1]});
      low = std::min(low, row.height[0]);
      form_.rows.push_back(row);
    }
    for (FormRow& row : form_.rows) {
      for (double& offset : row.offset) offset += kClear - nearest;
      for (double& height : row.height) height += kClear - low;
    }
  }

  void Add(BenchKind kind, std::size_t row, BenchSide side, double value, const std::string& word) {
    BenchReading r;
    r.kind = kind;
    r.row = row;
    r.side = side;
    r.value = value;
    r.instrument = UsualInstrument(kind);
    r.sigma = InstrumentSigma(r.instrument, value);
    r.name = fmt::format("{} {}", row + 1, word);
    sheet_.readings.push_back(r);
    if (row == 0) form_.columns.push_back({word, r.instrument});
  }

  // The readings of every row, at the sizes of the job: only the design matrix counts.
  void Sheet() {
    sheet_.toward = form_.toward;
    sheet_.straightedge = form_.straightedge;
    sheet_.rows.resize(form_.rows.size());
    for (std::size_t i = 0; i < form_.rows.size(); ++i) {
      const FormRow& row = form_.rows[i];
      Add(BenchKind::distance, i, BenchSide::b_plus, row.distance, "distance");
      Add(BenchKind::face, i, BenchSide::b_plus, row.height[1], "top");
      Add(BenchKind::face, i, BenchSide::b_minus, row.height[0], "underside");
      Add(BenchKind::face, i, BenchSide::a_plus, row.offset[1], form_.lateral[1]);
      Add(BenchKind::face, i, BenchSide::a_minus, row.offset[0], form_.lateral[0]);
      const double width = std::abs(row.offset[1] - row.offset[0]);
      const double height = row.height[1] - row.height[0];
      if (round_) {
        Add(BenchKind::diameter, i, BenchSide::b_plus, width, "diameter");
      } else {
        Add(BenchKind::width, i, BenchSide::b_plus, width, "width");
        Add(BenchKind::height, i, BenchSide::b_plus, height, "height");
      }
    }
    if (!round_) Once(BenchKind::corner, "corner", part_.stations.front().corner);
    Once(BenchKind::wall, "wall", part_.wall);
  }

  void Once(BenchKind kind, const char* name, double value) {
    BenchReading r;
    r.kind = kind;
    r.value = value;
    r.instrument = UsualInstrument(kind);
    r.sigma = InstrumentSigma(r.instrument, value);
    r.name = name;
    sheet_.readings.push_back(r);
    form_.once.push_back(r);
  }

  const PartRow& part_;
  Side described_;
  const BenchSheet* bench_ = nullptr;
  double away_ = 1.0;
  bool round_ = false;
  BenchSheet sheet_;
  MeasuringForm form_;
};

}  // namespace

Result<MeasuringForm> FormOf(const PartRow& part, Side described, const BenchSheet* bench) {
  if (part.section == SectionKind::outline) {
    return Fail(ErrorKind::job, fmt::format("part '{}' is given by outlines: there is no measuring "
                                            "form for it",
                                            part.name));
  }
  const PartWords words = WordsOf(part, described);
  if (words.lies == Lies::upright) {
    return Fail(ErrorKind::job, fmt::format("part '{}' stands upright: the measuring form is for "
                                            "parts that lie along or across",
                                            part.name));
  }
  return FormMaker(part, described, bench).Run(words);
}

Result<BenchSheet> BareSheetOf(const PartRow& part, Side described) {
  const auto form = FormOf(part, described);
  if (!form) return tl::unexpected(form.error());
  BenchSheet sheet;
  sheet.toward = form->toward;
  sheet.straightedge = form->straightedge;
  BenchReading wall;
  wall.name = "wall";
  wall.kind = BenchKind::wall;
  wall.value = part.wall;
  const bool measured = part.wall_basis == Basis::measured;
  wall.instrument = measured ? "wall gauge" : "drawing";
  wall.sigma = WallSigma(measured, part.wall);
  sheet.readings.push_back(wall);
  return sheet;
}

}  // namespace holeward
