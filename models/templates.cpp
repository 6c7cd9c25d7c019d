#include "models/templates.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "geometry/develop_piece.h"
#include "geometry/develop_propose.h"
#include "geometry/misfit_guard.h"
#include "models/part_words.h"
#include "models/solid_file.h"

namespace holeward {
namespace {

tl::unexpected<Error> FailIn(const TemplateRow& row, const Error& why) {
  return Fail(why.kind, fmt::format("template \"{}\": {}", row.name, why.message));
}

// The way a drill's tip travels; nothing when along the normal.
std::optional<Vec3> DrillAxis(const PointRow& row, const PlacedPoint& at, Side described) {
  if (row.axis.kind == AxisRow::Kind::normal) return std::nullopt;
  const std::optional<Vec3> way = DirectionOf(row.axis.direction, described);
  if (!way) return std::nullopt;
  if (row.axis.kind == AxisRow::Kind::direction) return way;
  const Vec3 aside = *way - at.normal * at.normal.dot(*way);
  if (aside.norm() < 1e-9) return std::nullopt;
  return Vec3(-std::cos(row.axis.lean_rad) * at.normal +
              std::sin(row.axis.lean_rad) * aside.normalized());
}

PieceMark MarkOf(const Job& job, const PointRow& row, const PlacedPoint& at) {
  PieceMark mark;
  mark.name = at.name;
  mark.place = at.place;
  if (row.use == PointUse::drill) {
    mark.diameters = row.drill;
    mark.axis = DrillAxis(row, at, job.described_side);
  }
  if (row.use == PointUse::test) {
    mark.diameters = {job.test.tip};
    mark.test = true;
    mark.foot = job.test.foot;
  }
  return mark;
}

// The marks of a template, in the order it names them (or of the job).
std::vector<PieceMark> MarksOf(const TemplateRow& row, const Job& job,
                               const std::vector<PlacedPoint>& placed,
                               std::vector<std::string>& notes) {
  std::vector<std::string> names = row.points;
  if (names.empty()) {
    for (const PlacedPoint& p : placed) {
      if (p.part == row.part) names.push_back(p.name);
    }
  }
  std::vector<PieceMark> marks;
  for (const std::string& name : names) {
    const auto at = std::find_if(placed.begin(), placed.end(), [&](const PlacedPoint& p) {
      return p.name == name && p.part == row.part;
    });
    const PointRow* point = job.FindPoint(name);
    if (at == placed.end() || point == nullptr) {
      notes.push_back(fmt::format("point \"{}\" is not on this side and is left out", name));
      continue;
    }
    marks.push_back(MarkOf(job, *point, *at));
  }
  return marks;
}

// Makes pieces, giving each datums to lie by, and collects notes.
class Assembly {
 public:
  Assembly(PieceRequest base, TemplatePieces& out) : base_(std::move(base)), out_(out) {}

  // Empty: done; else the error.
  std::optional<Error> Run() {
    const Part& part = *base_.part;
    if (part.skin->round() || part.faces.empty()) return AddInPieces(base_, nullptr);
    std::map<int, std::vector<PieceMark>> by_face;
    const std::vector<PieceMark> all = base_.marks;
    for (const PieceMark& m : all) by_face[part.skin->PieceOf(m.place.v)].push_back(m);
    if (by_face.size() > 1 || FaceOf(by_face.begin()->first) == nullptr) {
      const std::optional<Error> joined = Joined();
      if (!joined) return std::nullopt;
      for (const auto& [piece, marks] : by_face) {
        if (FaceOf(piece) == nullptr) {
          return Error{ErrorKind::job, fmt::format("point \"{}\" lies on a rounded corner; {}",
                                                   marks.front().name, joined->message)};
        }
      }
    }
    // Pieces in the order in which the template names their first points.
    for (const PieceMark& m : all) {
      const auto found = by_face.find(part.skin->PieceOf(m.place.v));
      if (found == by_face.end()) continue;
      PieceRequest request = base_;
      request.marks = found->second;
      const Face* face = FaceOf(found->first);
      by_face.erase(found);
      const std::optional<Error> failed = AddInPieces(request, face);
      if (failed) return failed;
    }
    return std::nullopt;
  }

 private:
  [[nodiscard]] const Face* FaceOf(int piece) const {
    for (const Face& f : base_.part->faces) {
      if (f.piece == piece) return &f;
    }
    return nullptr;
  }

  std::optional<Error> Joined() {
    PieceRequest request = base_;
    if (request.marks.size() > 1) request.instead = "put fewer points on one template";
    return Add(std::move(request), nullptr);
  }

  static Result<PieceResult> Make(const PieceRequest& request, const Face* face) {
    return face != nullptr ? DevelopFacePiece(request, *face) : DevelopJoinedPiece(request);
  }

  // Adds the marks in one piece or, where that does not hold, cut into as many as it takes.
  std::optional<Error> AddInPieces(const PieceRequest& request, const Face* face) {
    std::optional<Error> failed = Add(request, face);
    if (!failed) return failed;
    const std::array<PieceRequest, 2> halves = CutInTwo(request);
    if (halves[0].marks.empty() || halves[1].marks.empty()) return failed;
    const std::size_t pieces = out_.pieces.size(), notes = out_.notes.size();
    out_.notes.push_back(fmt::format("{}; it is cut into pieces", failed->message));
    for (const PieceRequest& half : halves) {
      const std::size_t before = out_.pieces.size();
      const std::optional<Error> half_failed = AddInPieces(half, face);
      if (half_failed) {
        out_.pieces.resize(pieces);
        out_.notes.resize(notes);
        return half_failed;
      }
      if (out_.pieces.size() == before + 1) NameByMarks(out_.pieces.back());
    }
    return std::nullopt;
  }

  // Pieces of one face are told apart by their marks.
  static void NameByMarks(DevelopedPiece& piece) {
    std::vector<std::string> names;
    for (const FlatMark& mark : piece.marks) names.push_back(mark.name);
    piece.name += fmt::format(" at {}", fmt::join(names, ", "));
    piece.only = names;
  }

  // Between the two neighbouring marks that are farthest apart, along the part or round it.
  static std::array<PieceRequest, 2> CutInTwo(const PieceRequest& request) {
    const Skin& skin = *request.part->skin;
    const auto at = [&](const PieceMark& mark, bool along) {
      return along ? skin.StationOf(mark.place.u) : skin.GirthOf(mark.place.u, mark.place.v);
    };
    double widest = -1.0, cut = 0.0;
    bool cut_along = true;
    for (const bool along : {true, false}) {
      std::vector<double> where;
      for (const PieceMark& mark : request.marks) where.push_back(at(mark, along));
      std::sort(where.begin(), where.end());
      for (std::size_t k = 0; k + 1 < where.size(); ++k) {
        if (where[k + 1] - where[k] <= widest) continue;
        widest = where[k + 1] - where[k];
        cut = 0.5 * (where[k] + where[k + 1]);
        cut_along = along;
      }
    }
    std::array<PieceRequest, 2> halves{request, request};
    for (PieceRequest& half : halves) half.marks.clear();
    for (const PieceMark& mark : request.marks) {
      halves[at(mark, cut_along) < cut ? 0 : 1].marks.push_back(mark);
    }
    return halves;
  }

  std::optional<Error> Add(PieceRequest request, const Face* face) {
    Result<PieceResult> made = Make(request, face);
    if (!made) return made.error();
    const std::vector<std::string> lacking = made->layout.not_shown;
    if (!lacking.empty() && !made->layout.align.empty()) {
      out_.notes.push_back(fmt::format("piece \"{}\" cannot show \"{}\"", made->piece.name,
                                       fmt::join(lacking, "\", \"")));
    }
    if (made->layout.align.empty()) {
      const std::optional<Error> failed = Propose(request, face, lacking, *made);
      if (failed) return failed;
    }
    if (!made->fix.Fixed()) {
      const std::optional<Error> failed = Fix(request, face, *made);
      if (failed) return failed;
    }
    for (const std::string& remark : made->remarks) {
      out_.notes.push_back(fmt::format("piece \"{}\": {}", made->piece.name, remark));
    }
    if (request.coating > 0.0) {
      made->piece.made_for =
          Phrase(Told("for a part coated {} mm thick"), {fmt::format("{:.4g}", request.coating)});
    }
    GuardAgainstMisfits(request, *made);
    out_.pieces.push_back(std::move(made->piece));
    return std::nullopt;
  }

  // Gives a piece that shows none of the template's datums the two best of its own.
  std::optional<Error> Propose(PieceRequest& request, const Face* face,
                               const std::vector<std::string>& lacking, PieceResult& made) {
    request.align = ProposedAlignment(request, face);
    Result<PieceResult> aligned = Make(request, face);
    if (!aligned) return aligned.error();
    made = std::move(*aligned);
    out_.notes.push_back(fmt::format(
        "piece \"{}\": {}; it is aligned to \"{}\" instead", made.piece.name,
        lacking.empty() ? "the template names nothing to align it to"
                        : fmt::format("it cannot show \"{}\"", fmt::join(lacking, "\", \"")),
        fmt::join(request.align, "\" and \"")));
    return std::nullopt;
  }

  // Aligns a piece that can still slide or turn to one datum more; an error where none holds it.
  std::optional<Error> Fix(PieceRequest& request, const Face* face, PieceResult& made) {
    const std::string loose =
        fmt::format("laid by {} alone it can {}", LaidBy(made.layout), made.fix.freedom);
    const std::string further = FurtherAlignment(request, face);
    const std::string name = made.piece.name;
    if (!further.empty()) {
      request.align.push_back(further);
      Result<PieceResult> fixed = Make(request, face);
      if (!fixed) return fixed.error();
      made = std::move(*fixed);
      if (made.fix.Fixed()) {
        out_.notes.push_back(
            fmt::format("piece \"{}\": {}; it is aligned to \"{}\" as well", name, loose, further));
        return std::nullopt;
      }
    }
    return Error{ErrorKind::job,
                 fmt::format("piece \"{}\": {}, and nothing else of part \"{}\" that the piece can "
                             "show would hold it; align it to an end and an edge, or to a fitting "
                             "near its points",
                             name, loose, request.part->name)};
  }

  static std::string LaidBy(const PieceLayout& layout) {
    std::vector<std::string> names;
    for (const AlignLine& line : layout.align) {
      const std::string quoted = fmt::format("\"{}\"", line.name);
      if (std::find(names.begin(), names.end(), quoted) == names.end()) names.push_back(quoted);
    }
    return names.empty() ? "nothing" : fmt::format("{}", fmt::join(names, " and "));
  }

  PieceRequest base_;
  TemplatePieces& out_;
};

double CoatingOf(const std::string& part, const Job& job) {
  for (const PartRow& row : job.parts) {
    if (row.name == part) return row.coating;
  }
  return 0.0;
}

}  // namespace

Result<TemplatePieces> DevelopTemplate(const TemplateRow& row, const Job& job, const Scene& scene,
                                       const std::vector<PlacedPoint>& placed) {
  TemplatePieces out;
  out.name = row.name;
  out.part = row.part;
  out.paper = row.paper;
  out.backing = row.backing;
  const Part* part = scene.FindPart(row.part);
  if (part == nullptr) {
    return FailIn(row, {ErrorKind::job, fmt::format("there is no part \"{}\"", row.part)});
  }
  PieceRequest request;
  request.part = part;
  request.marks = MarksOf(row, job, placed, out.notes);
  request.align = row.align;
  for (const PartRow& one : job.parts) {
    if (one.name != row.part) continue;
    for (const DatumRow& datum : DatumsOf(one)) request.shown.push_back(datum.place);
  }
  request.backing = row.backing;
  request.coating = CoatingOf(row.part, job);
  if (request.coating > 0.0) {
    out.notes.push_back(fmt::format("laid out for {} with its coating, {:.4g} mm thick, on",
                                    row.part, request.coating));
  }
  request.gap = row.gap;
  if (row.hold == Hold::strap) request.strap = row.strap;
  if (row.hold == Hold::magnet) request.magnet = row.magnet;
  request.wrap_limit = job.limits.wrap_error;
  request.outboard_y = scene.outboard_y;
  request.sides = static_cast<int>(job.sides.size());
  if (request.marks.empty()) return out;
  const std::optional<Error> failed = Assembly(std::move(request), out).Run();
  if (failed) return FailIn(row, *failed);
  return out;
}

Result<std::vector<TemplatePieces>> DevelopTemplates(const Job& job, const Scene& scene,
                                                     const std::vector<PlacedPoint>& placed) {
  std::vector<TemplatePieces> out;
  for (const TemplateRow& row : job.templates) {
    Result<TemplatePieces> one = DevelopTemplate(row, job, scene, placed);
    if (!one) return tl::unexpected<Error>(one.error());
    out.push_back(std::move(*one));
  }
  return out;
}

}  // namespace holeward
