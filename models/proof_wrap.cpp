#include "models/proof_wrap.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "geometry/develop_piece.h"
#include "models/bench_choice.h"
#include "models/bench_instruments.h"
#include "models/bench_words.h"
#include "models/csv_records.h"

namespace holeward {
namespace {

// A row's cross stays this far from a fitting, mm.
constexpr double kClear = 8.0;

const PartRow* RowOf(const Job& job, const std::string& name) {
  for (const PartRow& row : job.parts) {
    if (row.name == name) return &row;
  }
  return nullptr;
}

/// The lengths of the wrap as readings of the bench, and how well the fit knows them.
class Lengths {
 public:
  Lengths(const PartRow& part, const BenchFit& fit, Side described)
      : fit_(fit), sheet_(fit.sheet), words_(WordsOfBench(fit.sheet)) {
    first_ = sheet_.readings.size();
    Add(part.section);
    const BenchModel model = Laid(part, described);
    const AdjustProblem problem = ProblemOf(model, sheet_);
    const Eigen::VectorXd& x = fit.found.adjustment.x;
    const auto values = model.Readings(x);
    const auto jacobian = JacobianAt(problem, x);
    for (std::size_t i = first_; values && jacobian && i < sheet_.readings.size(); ++i) {
      const auto at = static_cast<Eigen::Index>(i);
      const double own = fit.found.adjustment.SigmaAlong(jacobian->row(at).transpose());
      gaps_.push_back({sheet_.readings[i].name + ", wrap", (*values)[at],
                       kBenchCover * std::hypot(own, fit.part_spread)});
    }
  }

  [[nodiscard]] const std::vector<ProofGap>& gaps() const { return gaps_; }

  /// The widest gap expected of lengths along this face.
  [[nodiscard]] double Along(const std::string& face) const {
    return Most("tape ", " " + face + ", wrap");
  }
  /// Across a face that lies like this one.
  [[nodiscard]] double Across(const std::string& face) const {
    const bool flat = face == "top" || face == "underside";
    return std::max(Most("", flat ? " width, wrap" : " height, wrap"), Most("", " girth, wrap"));
  }

 private:
  [[nodiscard]] double Most(const std::string& begin, const std::string& end) const {
    double most = 0.0;
    for (const ProofGap& gap : gaps_) {
      const bool is = gap.reading.starts_with(begin) && gap.reading.ends_with(end);
      if (is) most = std::max(most, gap.expected);
    }
    return most;
  }

  void AddOne(BenchKind kind, std::optional<std::size_t> row, const std::string& name,
              BenchSide side = BenchSide::b_plus) {
    BenchReading r;
    r.kind = kind;
    r.row = row;
    r.name = name;
    r.spare = true;
    if (kind == BenchKind::tape) {
      r.from = {0, side};
      r.to = {sheet_.rows.size() - 1, side};
    }
    r.instrument = UsualInstrument(kind);
    r.sigma = InstrumentSigma(r.instrument, 100.0);
    sheet_.readings.push_back(r);
  }

  void Add(SectionKind section) {
    const std::size_t n = sheet_.rows.size();
    for (const BenchSide side :
         {BenchSide::b_plus, BenchSide::a_plus, BenchSide::b_minus, BenchSide::a_minus}) {
      const std::string face = words_.Face(side);
      AddOne(BenchKind::tape, std::nullopt, fmt::format("tape 1 {} to {} {}", face, n, face), side);
    }
    for (std::size_t i = 0; i < n; ++i) {
      if (section == SectionKind::round) {
        AddOne(BenchKind::girth, i, fmt::format("{} girth", i + 1));
        continue;
      }
      AddOne(BenchKind::width, i, fmt::format("{} width", i + 1));
      AddOne(BenchKind::height, i, fmt::format("{} height", i + 1));
    }
  }

  [[nodiscard]] BenchModel Laid(const PartRow& part, Side described) const {
    BenchModel model(part, sheet_, described);
    (void)model.LayTapes(fit_.found.adjustment.x);
    return model;
  }

  const BenchFit& fit_;
  BenchSheet sheet_;
  BenchWords words_;
  std::size_t first_ = 0;
  std::vector<ProofGap> gaps_;
};

class Wrapper {
 public:
  explicit Wrapper(const ProofWrapOf& of) : of_(of), part_(*of.part), skin_(*of.part->skin) {
    made_.part = part_.name;
    const PartRow* row = RowOf(*of.job, part_.name);
    if (of.fit && row) lengths_.emplace(*row, *of.fit, of.job->described_side);
    if (lengths_) made_.gaps = lengths_->gaps();
    base_.part = of.part;
    base_.coating = row ? row->coating : 0.0;
    base_.wrap_limit = of.job->limits.wrap_error;
    base_.outboard_y = of.outboard_y;
    base_.sides = static_cast<int>(of.job->sides.size());
  }

  Result<ProofWrap> Run() {
    if (part_.faces.empty()) {
      Round();
    } else {
      for (const Face& face : part_.faces) OnFace(face);
    }
    if (!made_.pieces.empty()) return std::move(made_);
    return Fail(ErrorKind::job,
                fmt::format("no proof wrap of part '{}': {}", part_.name,
                            made_.notes.empty() ? "it has no face" : made_.notes.front()));
  }

 private:
  [[nodiscard]] bool Covered(const std::string& face, double u) const {
    const double station = skin_.StationOf(u);
    return std::any_of(part_.fittings.begin(), part_.fittings.end(), [&](const Fitting& f) {
      if (f.face != face || f.shape == FittingShape::eye) return false;
      const double half =
          f.footprint.disc
              ? f.footprint.radius
              : 0.5 * (skin_.StationOf(f.footprint.u_to) - skin_.StationOf(f.footprint.u_from));
      return std::abs(station - skin_.StationOf(f.centre.u)) < half + kClear;
    });
  }

  // The rows between the ends where nothing stands; else any place that is free.
  [[nodiscard]] std::vector<PieceMark> Rows(const std::string& face, double v) const {
    std::vector<PieceMark> marks;
    const auto add = [&](double u, const std::string& name) {
      if (Covered(face, u)) return;
      PieceMark mark;
      mark.name = name;
      mark.place = {u, v};
      marks.push_back(mark);
    };
    for (int i = 1; i < skin_.span_count(); ++i) {
      add(skin_.span_start(i), fmt::format("row {}", i + 1));
    }
    for (const double share : {0.5, 0.2, 0.8, 0.35, 0.65}) {
      if (marks.empty()) add(share * skin_.u_end(), "free place");
    }
    return marks;
  }

  void OnFace(const Face& face) {
    PieceRequest request = base_;
    request.marks = Rows(face.name, face.piece + 0.5);
    request.align = {part_.start, part_.finish, face.first_edge, face.second_edge};
    for (const Fitting& f : part_.fittings) {
      if (f.face == face.name) request.align.push_back(f.name);
    }
    if (request.marks.empty()) {
      made_.notes.push_back(fmt::format("the {} face is full of fittings", face.name));
      return;
    }
    Keep(DevelopFacePiece(request, face), face.name, face.second_edge);
  }

  void Round() {
    PieceRequest request = base_;
    request.wrap_up_to = 1e9;
    for (const NamedLine& line : part_.lines) {
      for (PieceMark& mark : Rows(line.name, line.v)) {
        mark.name += " " + line.name;
        request.marks.push_back(mark);
      }
    }
    request.align = {part_.start, part_.finish};
    if (!part_.lines.empty()) request.align.push_back(part_.lines.front().name);
    for (const Fitting& f : part_.fittings) request.align.push_back(f.name);
    if (!request.marks.empty()) Keep(DevelopJoinedPiece(request), "round", "");
  }

  void Keep(Result<PieceResult> made, const std::string& face, const std::string& far_edge) {
    if (!made) {
      made_.notes.push_back(fmt::format("{}: {}", face, made.error().message));
      return;
    }
    DevelopedPiece piece = std::move(made->piece);
    for (FlatLine& line : piece.lines) {
      if (line.words.names.empty()) continue;
      const double gap = GapBeside(line, face, far_edge);
      if (gap > 0.0) {
        line.words = Phrase("{}", {fmt::format("{}; gap within ±{:.1f} mm", line.words.English(),
                                               std::ceil(gap * 10.0) / 10.0)});
      }
    }
    made_.pieces.push_back(std::move(piece));
  }

  // The wrap is laid by its start and its first edge; the gaps show at the others.
  [[nodiscard]] double GapBeside(const FlatLine& line, const std::string& face,
                                 const std::string& far_edge) const {
    const std::string& name = line.words.names.front();
    const double without = of_.job->marking.outline.Greatest();
    const double along = lengths_ ? lengths_->Along(face) : without;
    if (line.kind == FlatLineKind::butt) return lengths_ ? lengths_->Across(face) : without;
    if (line.kind == FlatLineKind::align && name == part_.finish) return along;
    if (line.kind == FlatLineKind::align && name == far_edge) {
      return lengths_ ? lengths_->Across(face) : without;
    }
    const bool fitting = std::any_of(part_.fittings.begin(), part_.fittings.end(),
                                     [&](const Fitting& f) { return f.name == name; });
    return fitting ? std::hypot(along, of_.job->marking.tape.Greatest()) : 0.0;
  }

  const ProofWrapOf& of_;
  const Part& part_;
  const Skin& skin_;
  PieceRequest base_;
  std::optional<Lengths> lengths_;
  ProofWrap made_;
};

}  // namespace

Result<ProofWrap> MakeProofWrap(const ProofWrapOf& of) { return Wrapper(of).Run(); }

std::string ProofWrapCsv(const std::vector<ProofWrap>& wraps) {
  std::string csv = "part,reading,instrument,unit,made,within,gap\r\n";
  for (const ProofWrap& wrap : wraps) {
    for (const ProofGap& gap : wrap.gaps) {
      csv += fmt::format("{},{},tape,mm,{:.2f},{:.2f},\r\n", CsvQuoted(wrap.part, ','),
                         CsvQuoted(gap.reading, ','), gap.made, gap.expected);
    }
  }
  return csv;
}

}  // namespace holeward
