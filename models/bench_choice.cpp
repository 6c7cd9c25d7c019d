#include "models/bench_choice.h"

#include <algorithm>
#include <cmath>

#include <Eigen/LU>
#include <fmt/format.h>

#include "models/bench_instruments.h"

namespace holeward {
namespace {

constexpr double kLeastGain = 0.01;

BenchReading AtRow(BenchKind kind, const char* word, std::size_t row) {
  BenchReading r;
  r.kind = kind;
  r.row = row;
  r.spare = true;
  r.instrument = UsualInstrument(kind);
  r.sigma = InstrumentSigma(r.instrument, 100.0);
  r.name = fmt::format("{} {}", row + 1, word);
  return r;
}

BenchReading Between(BenchKind kind, const BenchPlace& from, const BenchPlace& to,
                     const std::string& name) {
  BenchReading r = AtRow(kind, "", from.row);
  r.row.reset();
  r.from = from;
  r.to = to;
  r.name = name;
  return r;
}

// As the reader of the job names it.
const char* FaceWord(const BenchSheet& sheet, BenchSide side) {
  const bool across = sheet.toward == "outboard" || sheet.toward == "inboard";
  switch (side) {
    case BenchSide::b_plus: return "top";
    case BenchSide::b_minus: return "underside";
    case BenchSide::a_plus: return across ? "front" : "outboard";
    case BenchSide::a_minus: return across ? "rear" : "inboard";
  }
  return "";
}

// The problem with the possible readings behind the sheet's own.
struct Offer {
  BenchSheet sheet;
  std::size_t own = 0;
  Eigen::MatrixXd jacobian;  // weighed by 1 / sigma
};

std::optional<Offer> OfferOf(const PartRow& part, const BenchSheet& sheet, Side described,
                             const std::optional<Eigen::VectorXd>& at) {
  Offer offer{sheet, sheet.readings.size(), {}};
  for (const BenchReading& r : PossibleReadings(part, sheet)) {
    offer.sheet.readings.push_back(r);
  }
  const BenchModel model(part, offer.sheet, described);
  const AdjustProblem problem = ProblemOf(model, offer.sheet);
  const auto jacobian = JacobianAt(problem, at.value_or(problem.start));
  if (!jacobian) return std::nullopt;
  offer.jacobian = problem.sigma.cwiseInverse().asDiagonal() * *jacobian;
  return offer;
}

}  // namespace

std::vector<BenchReading> PossibleReadings(const PartRow& part, const BenchSheet& sheet) {
  std::vector<BenchReading> all;
  const bool round = part.section == SectionKind::round;
  const bool channel = part.section == SectionKind::channel;
  const std::size_t n = sheet.rows.size();
  for (std::size_t i = 0; i < n; ++i) {
    if (round) {
      all.push_back(AtRow(BenchKind::diameter, "diameter", i));
    } else {
      all.push_back(AtRow(BenchKind::width, "width", i));
      all.push_back(AtRow(BenchKind::height, "height", i));
    }
    if (!channel) all.push_back(AtRow(BenchKind::girth, "girth", i));
  }
  const auto face = channel ? BenchSide::b_plus : BenchSide::a_plus;
  const auto add = [&](BenchKind kind, const char* word, BenchPlace from, BenchPlace to) {
    all.push_back(
        Between(kind, from, to,
                fmt::format("{} {} {} to {} {}", word, from.row + 1, FaceWord(sheet, from.side),
                            to.row + 1, FaceWord(sheet, to.side))));
  };
  for (std::size_t i = 0; !channel && i + 1 < n; ++i) {
    for (std::size_t j = i + 1; j < std::min(n, i + 3); ++j) {
      add(BenchKind::diagonal, "diagonal", {i, face}, {j, BenchSide::a_minus});
      add(BenchKind::diagonal, "diagonal", {i, BenchSide::b_plus}, {j, BenchSide::b_minus});
    }
    add(BenchKind::tape, "tape", {i, BenchSide::b_plus}, {i + 1, BenchSide::b_plus});
  }
  // What a row has already is not asked for twice: the same slip would be made again.
  std::erase_if(all, [&](const BenchReading& possible) {
    return std::any_of(sheet.readings.begin(), sheet.readings.end(),
                       [&](const BenchReading& own) { return own.name == possible.name; });
  });
  BenchReading wall = AtRow(BenchKind::wall, "wall", 0);
  wall.name = "wall, reading 2";
  all.push_back(wall);
  return all;
}

BenchWidths WidthsOf(const std::vector<BenchUnknown>& unknowns, const Snooping& found) {
  BenchWidths widths = WidthsOf(unknowns, found.adjustment.covariance);
  for (std::size_t k = 0; k < unknowns.size(); ++k) {
    const auto at = static_cast<Eigen::Index>(k);
    const auto in = found.IntervalOf(at, kBenchCover);
    const double half = std::max(in.high - found.adjustment.x[at], found.adjustment.x[at] - in.low);
    const BenchSize size = unknowns[k].size;
    if (size == BenchSize::wall) widths.wall = std::max(widths.wall, half);
    const bool outside =
        size == BenchSize::width || size == BenchSize::height || size == BenchSize::diameter;
    if (outside) widths.outline = std::max(widths.outline, half);
  }
  return widths;
}

BenchWidths WidthsOf(const std::vector<BenchUnknown>& unknowns, const Eigen::MatrixXd& covariance) {
  BenchWidths widths;
  for (std::size_t k = 0; k < unknowns.size(); ++k) {
    const auto at = static_cast<Eigen::Index>(k);
    const double half = kBenchCover * std::sqrt(std::max(0.0, covariance(at, at)));
    switch (unknowns[k].size) {
      case BenchSize::width:
      case BenchSize::height:
      case BenchSize::diameter: widths.outline = std::max(widths.outline, half); break;
      case BenchSize::wall: widths.wall = std::max(widths.wall, half); break;
      default: break;
    }
  }
  return widths;
}

HalfWidth OutlineOf(const BenchFit& fit, const BenchWidths& widths) {
  const double outline = std::hypot(widths.outline, kBenchCover * fit.part_spread) + fit.joining;
  return HalfWidth::Even(std::ceil(outline * 100.0) / 100.0);
}

HalfWidth WallErrorOf(const BenchFit& fit, const BenchWidths& widths) {
  double least = fit.wall;
  double greatest = fit.wall;
  for (const BenchReading& r : fit.sheet.readings) {
    if (r.kind != BenchKind::wall) continue;
    least = std::min(least, r.value);
    greatest = std::max(greatest, r.value);
  }
  const auto up = [](double value) { return std::ceil(value * 100.0) / 100.0; };
  // A rusted wall is thinner in places: what was read there counts in full.
  return {up(widths.wall + fit.wall - least), up(widths.wall + greatest - fit.wall)};
}

std::vector<BenchOffer> OffersOf(const PartRow& part, const BenchSheet& sheet, Side described,
                                 const Adjustment& fit) {
  std::vector<BenchOffer> offers;
  const auto offer = OfferOf(part, sheet, described, fit.x);
  if (!offer) return offers;
  const BenchModel model(part, sheet, described);
  for (std::size_t i = offer->own; i < offer->sheet.readings.size(); ++i) {
    const Eigen::VectorXd g = offer->jacobian.row(static_cast<Eigen::Index>(i)).transpose();
    const Eigen::VectorXd cg = fit.covariance * g;
    const Eigen::MatrixXd after = fit.covariance - cg * cg.transpose() / (1.0 + g.dot(cg));
    offers.push_back({offer->sheet.readings[i], WidthsOf(model.unknowns(), after)});
  }
  return offers;
}

std::optional<BenchAdvice> NextReading(const PartRow& part, const BenchSheet& sheet, Side described,
                                       const Adjustment& fit) {
  const BenchModel model(part, sheet, described);
  const BenchWidths now = WidthsOf(model.unknowns(), fit.covariance);
  std::optional<BenchAdvice> best;
  double most = kLeastGain;
  for (const BenchOffer& offer : OffersOf(part, sheet, described, fit)) {
    const double gain = now.outline - offer.then.outline + now.wall - offer.then.wall;
    if (gain <= most) continue;
    most = gain;
    const BenchReading& r = offer.reading;
    best = BenchAdvice{fmt::format("{} with the {}", r.name, r.instrument), gain,
                       r.row.value_or(r.from.row)};
  }
  return best;
}

namespace {

/// The choice of spare readings under way: information matrix and the readings taken.
class Chooser {
 public:
  Chooser(const Offer& offer, double enough) : offer_(offer), enough_(enough) {
    const auto own = static_cast<Eigen::Index>(offer.own);
    const Eigen::MatrixXd rows = offer.jacobian.topRows(own);
    normal_ = rows.transpose() * rows;
    for (Eigen::Index i = 0; i < own; ++i) taken_.push_back(i);
  }

  // Returns false when nothing is left to gain.
  bool TakeOne() {
    const Eigen::MatrixXd covariance = normal_.inverse();
    if (Shortfall(covariance) <= 0.0) return false;
    Eigen::Index best = -1;
    double least = Shortfall(covariance) - 1e-6;
    for (auto i = static_cast<Eigen::Index>(offer_.own); i < offer_.jacobian.rows(); ++i) {
      if (std::find(taken_.begin(), taken_.end(), i) != taken_.end()) continue;
      const Eigen::VectorXd g = offer_.jacobian.row(i).transpose();
      const Eigen::VectorXd cg = covariance * g;
      const double after = Shortfall(covariance - cg * cg.transpose() / (1.0 + g.dot(cg)));
      if (after >= least) continue;
      least = after;
      best = i;
    }
    if (best < 0) return false;
    const Eigen::VectorXd g = offer_.jacobian.row(best).transpose();
    normal_ += g * g.transpose();
    taken_.push_back(best);
    chosen_.push_back(offer_.sheet.readings[static_cast<std::size_t>(best)]);
    return true;
  }

  [[nodiscard]] const std::vector<BenchReading>& chosen() const { return chosen_; }

 private:
  // By how much the rows' own readings fall short of the redundancy wanted, all together.
  [[nodiscard]] double Shortfall(const Eigen::MatrixXd& covariance) const {
    double shortfall = 0.0;
    for (Eigen::Index i = 0; i < static_cast<Eigen::Index>(offer_.own); ++i) {
      const Eigen::VectorXd g = offer_.jacobian.row(i).transpose();
      shortfall += std::max(0.0, enough_ - (1.0 - g.dot(covariance * g)));
    }
    return shortfall;
  }

  const Offer& offer_;
  double enough_;
  Eigen::MatrixXd normal_;
  std::vector<Eigen::Index> taken_;
  std::vector<BenchReading> chosen_;
};

}  // namespace

std::vector<BenchReading> ChooseSpares(const PartRow& part, const BenchSheet& sheet, Side described,
                                       std::size_t most, double enough) {
  const auto offer = OfferOf(part, sheet, described, std::nullopt);
  if (!offer) return {};
  Chooser chooser(*offer, enough);
  while (chooser.chosen().size() < most && chooser.TakeOne()) {
  }
  return chooser.chosen();
}

}  // namespace holeward
