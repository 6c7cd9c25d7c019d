// Draws one page's pieces step by step: lines, joins, marks, then labels where room is left.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "export/mark_label.h"
#include "export/page_plan.h"
#include "export/symbols.h"

namespace holeward {

/// No label comes nearer to the outline of the bank card, or to the map, mm.
inline constexpr double kCardClear = 3.0;

/// Places on a grid over a box, row by row from its upper left.
[[nodiscard]] std::vector<Vec2> GridOver(const Box& box, double step);

/// What is written at a mark: all it says as large as it fits, or small; or its name alone, the
/// rest in a list beside the pieces.
enum class MarkText { large, small, in_list };

/// Works on one page; every step puts what it drew in the way of later labels.
class PieceArtist {
 public:
  PieceArtist(const PlannedPage& plan, const Box& area, const TemplateSheetInput& input,
              SheetPage* page)
      : plan_(plan), area_(area), input_(input), page_(*page), placer_(area.Grown(-0.5)) {
    if (plan.card) placer_.AvoidBox(plan.card->Grown(kCardClear));
    if (plan.map) placer_.AvoidBox(plan.map->Grown(kCardClear));
  }

  void DrawLines(const PiecePlace& place, const DevelopedPiece& piece);
  void DrawJoins(const PiecePlace& place);
  void DrawMarks(const PiecePlace& place, const DevelopedPiece& piece,
                 std::vector<SheetMark>* marks);
  /// Labels every mark, as large as can be in the way asked for, else with what they say in a list.
  Result<void> LabelMarks(const std::vector<DevelopedPiece>& pieces, MarkText text);
  /// All other labels of a piece. @return all its tags found room on the piece together
  bool LabelRest(const PiecePlace& place, const DevelopedPiece& piece);

  /// What a piece says of itself, to be read once it is cut out.
  enum class Tag { side, arrows, warning, name };
  using TagOrder = std::array<Tag, 4>;
  /// Lettering of the side, length of an arrow, lettering of the warning; and whether the name
  /// stands apart from the side, where one block finds no room.
  struct TagSizes {
    double tag = 0.0;
    double arrow = 0.0;
    double warning = 0.0;
    bool apart = false;
    bool brief = false;  ///< the warning does not name the places
  };

 private:
  struct Tagged {
    const PiecePlace& place;
    const DevelopedPiece& piece;
    const std::vector<Vec2>& outline;
    LabelPlacer::Request request;  ///< what each tag asks for but its size
    /// By size: where it finds room while nothing else of the piece's tags is there.
    mutable std::map<std::pair<double, double>, std::optional<LabelPlacer::Placed>> alone;
    /// Labels made so far, by what they say, lettering, width and brevity: breaking texts takes
    /// long.
    using LabelKey = std::tuple<int, double, double, bool>;
    mutable std::map<LabelKey, Label> labels;
  };
  using PutLabels = std::vector<std::pair<Label, LabelPlacer::Placed>>;
  void AvoidCutOut(const FlatLine& line, const PiecePlace& place);
  void PointAt(const FlatLine& line, const PiecePlace& place, const DevelopedPiece& piece);
  bool Put(const Label& label, LabelPlacer::Request request);
  bool PutFirst(const std::vector<std::pair<Label, bool>>& tries, LabelPlacer::Request request);
  std::string TryMarkLabels(const std::vector<DevelopedPiece>& pieces, MarkText text);
  bool PutMarkList(LabelPlacer* placer, const std::vector<FlatMark>& marks, PutLabels* put) const;
  void Draw(const Label& label, const LabelPlacer::Placed& placed);
  void Whiten(const Box& box);
  void LabelLines(const PiecePlace& place, const DevelopedPiece& piece);
  void LabelOneLine(const FlatLine& line, const PiecePlace& place,
                    const std::vector<Vec2>& outline);
  [[nodiscard]] std::vector<std::pair<const PiecePlace*, const FlatMark*>> MarksOn(
      const std::vector<DevelopedPiece>& pieces) const;
  void LabelJoins(const PiecePlace& place);
  [[nodiscard]] Compass CompassOf(const DevelopedPiece& piece, double arrow) const;
  void DrawCompass(const Compass& compass, const LabelPlacer::Placed& placed);
  bool PutTogether(const PiecePlace& place, const DevelopedPiece& piece);
  /// All tags of one size, in an order; draws nothing and gives false if one finds no room.
  bool PutInOrder(const Tagged& on, const TagSizes& sizes, const TagOrder& order);
  void PutCompass(const PiecePlace& place, const DevelopedPiece& piece);
  void PutWarning(const PiecePlace& place, const DevelopedPiece& piece);
  void PutNameTag(const PiecePlace& place, const DevelopedPiece& piece);
  [[nodiscard]] std::vector<Vec2> Outline(const PiecePlace& place,
                                          const DevelopedPiece& piece) const;
  [[nodiscard]] std::vector<Vec2> RoomIn(const PiecePlace& place, const std::vector<Vec2>& outline,
                                         double step) const;
  /// What a label asks for that belongs to a piece as a whole. @param outline must outlive it
  [[nodiscard]] LabelPlacer::Request InTheRoom(const PiecePlace& place,
                                               const std::vector<Vec2>& outline) const;

  /// The same, with its middle on the piece and no part of it off it.
  [[nodiscard]] LabelPlacer::Request WithinThePiece(const PiecePlace& place,
                                                    const std::vector<Vec2>& outline) const;

  const PlannedPage& plan_;
  Box area_;
  const TemplateSheetInput& input_;
  SheetPage& page_;
  LabelPlacer placer_;
};

}  // namespace holeward
