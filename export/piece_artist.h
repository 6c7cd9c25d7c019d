// Draws one page's pieces step by step: lines, joins, marks, then labels where room is left.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "export/mark_label.h"
#include "export/page_plan.h"
#include "export/symbols.h"

namespace holeward {

/// No label comes nearer to the outline of the bank card, mm.
inline constexpr double kCardClear = 3.0;

/// Places on a grid over a box, row by row from its upper left.
[[nodiscard]] std::vector<Vec2> GridOver(const Box& box, double step);

/// Works on one page; every step puts what it drew in the way of later labels.
class PieceArtist {
 public:
  PieceArtist(const PlannedPage& plan, const Box& area, const TemplateSheetInput& input,
              SheetPage* page)
      : plan_(plan), area_(area), input_(input), page_(*page), placer_(area.Grown(-0.5)) {
    if (plan.card) placer_.AvoidBox(plan.card->Grown(kCardClear));
  }

  void DrawLines(const PiecePlace& place, const DevelopedPiece& piece);
  void DrawJoins(const PiecePlace& place);
  void DrawMarks(const PiecePlace& place, const DevelopedPiece& piece,
                 std::vector<SheetMark>* marks);
  Result<void> LabelMarks(const std::vector<DevelopedPiece>& pieces);
  void LabelRest(const PiecePlace& place, const DevelopedPiece& piece);

 private:
  using PutLabels = std::vector<std::pair<Label, LabelPlacer::Placed>>;
  void AvoidCutOut(const FlatLine& line, const PiecePlace& place);
  void PointAt(const FlatLine& line, const PiecePlace& place, const DevelopedPiece& piece);
  bool Put(const Label& label, LabelPlacer::Request request);
  bool PutFirst(const std::vector<std::pair<Label, bool>>& tries, LabelPlacer::Request request);
  std::string TryMarkLabels(const std::vector<DevelopedPiece>& pieces, bool in_list);
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
  void PutCompass(const PiecePlace& place, const DevelopedPiece& piece);
  void PutWarning(const PiecePlace& place, const DevelopedPiece& piece);
  void PutNameTag(const PiecePlace& place, const DevelopedPiece& piece);
  [[nodiscard]] std::vector<Vec2> Outline(const PiecePlace& place,
                                          const DevelopedPiece& piece) const;
  [[nodiscard]] std::vector<Vec2> RoomIn(const PiecePlace& place,
                                         const std::vector<Vec2>& outline) const;
  /// What a label asks for that belongs to a piece as a whole. @param outline must outlive it
  [[nodiscard]] LabelPlacer::Request InTheRoom(const PiecePlace& place,
                                               const std::vector<Vec2>& outline) const;

  const PlannedPage& plan_;
  Box area_;
  const TemplateSheetInput& input_;
  SheetPage& page_;
  LabelPlacer placer_;
};

}  // namespace holeward
