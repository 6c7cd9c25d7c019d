// Finds room for labels on a page: near what they name, clear of marks, lines and each other.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "export/box.h"
#include "geometry/polygon.h"
#include "geometry/vec.h"

namespace holeward {

/// Places labels one after another; each placed label is in the way of the later ones.
class LabelPlacer {
 public:
  /// What one label asks for.
  struct Request {
    std::vector<Vec2> anchors;                  ///< places it may stand beside, the best first
    Vec2 size = Vec2::Zero();                   ///< mm
    double clear = 1.0;                         ///< least distance from the anchor to the label, mm
    const std::vector<Vec2>* inside = nullptr;  ///< polygon it should rather lie in
    bool only_inside = false;                   ///< …and nowhere else
    bool over_lines = true;                     ///< may cover lines where nothing else is left
    bool leader = true;      ///< a leader may tie it to its anchor from farther away
    double farthest = 40.0;  ///< without a leader: no farther from an anchor, mm
    bool centred = false;    ///< with its middle on an anchor, the first that is free
  };
  /// Where a label came to lie.
  struct Placed {
    Box box;
    bool leader = false;              ///< a line from `leader_from` to `leader_to` is to be drawn
    Vec2 leader_from = Vec2::Zero();  ///< on the label's border
    Vec2 leader_to = Vec2::Zero();    ///< at the anchor
    bool over_lines = false;  ///< no place clear of lines was left (never over marks or labels)
  };

  /// @param area where labels may lie, mm
  explicit LabelPlacer(const Box& area) : area_(area) {}

  /// Something no label may cover: a mark, a block of text.
  void AvoidBox(const Box& box) { boxes_.push_back(box); }
  /// A line no label should cover.
  void AvoidLine(const Vec2& a, const Vec2& b);
  void AvoidPolyline(const std::vector<Vec2>& points, bool closed);

  /// The best place for the label, which from then on is in the way of others; none if the page is
  /// full. Labels never overlap boxes, labels or leaders; lines only where nothing else is left.
  [[nodiscard]] std::optional<Placed> Place(const Request& request);
  /// The same in two steps: the place alone, and having a label lie there.
  [[nodiscard]] std::optional<Placed> Find(const Request& request) const;
  void Put(const Placed& placed);

 private:
  struct Segment {
    Vec2 a, b;
  };
  struct Best {
    double cost = 0.0;
    Placed placed;
  };
  /// What was in a label's way, the last first: the next place tried lies close by, and so mostly
  /// behind the same. Only the time to find out depends on it.
  struct InTheWay {
    std::vector<std::size_t> boxes;      ///< all of them
    std::array<std::size_t, 4> lines{};  ///< a few
  };
  /// How a request is searched for: over lines too, and the box round its polygon.
  struct Look {
    bool over_lines = false;
    Box round;
    InTheWay* last = nullptr;
  };
  /// Where a label of a request would lie.
  struct Trial {
    std::size_t anchor = 0;
    std::size_t turn = 0;
    double ring = 0.0;
  };
  [[nodiscard]] static Box BoxOf(const Request& request, const Trial& trial);
  [[nodiscard]] static Placed PlacedAt(const Request& request, const Trial& trial, const Box& box);
  /// What lying outside the request's polygon costs; `round` is the box round it.
  [[nodiscard]] static double InsideCost(const Box& box, const Request& request, const Box& round);
  void SearchRound(const Request& request, std::size_t anchor, const Look& look, Best* best) const;
  [[nodiscard]] std::optional<Placed> Search(const Request& request, bool over_lines) const;
  [[nodiscard]] std::optional<Placed> SearchCentred(const Request& request, bool over_lines) const;
  [[nodiscard]] bool Free(const Box& box, const Look& look) const;
  [[nodiscard]] double LeaderCost(const Placed& placed, const Request& request) const;

  [[nodiscard]] InTheWay NothingYet() const;
  [[nodiscard]] bool OverBoxes(const Box& box, InTheWay& last) const;
  [[nodiscard]] bool OverLines(const Box& box, InTheWay& last) const;
  [[nodiscard]] std::ptrdiff_t LinesMet(const Vec2& a, const Vec2& b) const;

  Box area_;
  std::vector<Box> boxes_;
  std::vector<Segment> lines_;
  /// Boxes round kBundle lines each, in their order: a curve's lines lie close together.
  std::vector<Box> bundles_;
  std::vector<Segment> leaders_;
};

}  // namespace holeward
