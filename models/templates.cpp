#include "models/templates.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "geometry/develop_piece.h"
#include "models/part_words.h"

namespace holeward {
namespace {

tl::unexpected<Error> FailIn(const TemplateRow& row, const Error& why) {
  return Fail(why.kind, fmt::format("template \"{}\": {}", row.name, why.message));
}

const PointRow* RowOf(const Job& job, const std::string& name) {
  for (const PointRow& p : job.points) {
    if (p.name == name) return &p;
  }
  return nullptr;
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
    const PointRow* point = RowOf(job, name);
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
    if (part.skin->round() || part.faces.empty()) return Joined();
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
      const std::optional<Error> failed = Add(request, face);
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

  std::optional<Error> Joined() { return Add(base_, nullptr); }

  static Result<PieceResult> Make(const PieceRequest& request, const Face* face) {
    return face != nullptr ? DevelopFacePiece(request, *face) : DevelopJoinedPiece(request);
  }

  std::optional<Error> Add(PieceRequest request, const Face* face) {
    Result<PieceResult> made = Make(request, face);
    if (!made) return made.error();
    const std::vector<std::string> lacking = made->layout.not_shown;
    const std::vector<std::string> proposed = ProposedAlignment(request, face);
    if (made->layout.align.empty() && !proposed.empty()) {
      request.align = proposed;
      Result<PieceResult> aligned = Make(request, face);
      if (!aligned) return aligned.error();
      made = std::move(aligned);
      out_.notes.push_back(fmt::format(
          "piece \"{}\": {}; it is aligned to \"{}\" instead", made->piece.name,
          lacking.empty() ? "the template names nothing to align it to"
                          : fmt::format("it cannot show \"{}\"", fmt::join(lacking, "\", \"")),
          fmt::join(proposed, "\" and \"")));
    } else {
      NoteDatums(*made, lacking, proposed);
    }
    out_.pieces.push_back(std::move(made->piece));
    return std::nullopt;
  }

  // Says which datums are not on the sheet, and which one would stop it from sliding.
  void NoteDatums(const PieceResult& made, const std::vector<std::string>& lacking,
                  const std::vector<std::string>& proposed) {
    const std::string& name = made.piece.name;
    if (!lacking.empty()) {
      out_.notes.push_back(
          fmt::format("piece \"{}\" cannot show \"{}\"", name, fmt::join(lacking, "\", \"")));
    }
    bool along = false, across = false;
    for (const AlignLine& line : made.layout.align) (line.along ? along : across) = true;
    if (along && across) return;
    const std::size_t best = along ? 0 : 1;
    if (best < proposed.size()) {
      out_.notes.push_back(fmt::format("piece \"{}\" can slide {}; align it to \"{}\" as well",
                                       name, along ? "along the part" : "round the part",
                                       proposed[best]));
    }
  }

  PieceRequest base_;
  TemplatePieces& out_;
};

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
  request.backing = row.backing;
  request.outboard_y = scene.outboard_y;
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
