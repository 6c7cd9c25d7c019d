// A surface as the tape sees it: a strip of cells, each with a smooth law, from two parameters to
// space. A skin is one; closed forms (ellipsoid, torus, cone) are others, given directly in tests.
#pragma once

#include <memory>
#include <utility>
#include <vector>

#include "geometry/skin.h"

namespace holeward {

/// A piecewise smooth surface over [u_breaks.front(), u_breaks.back()] x [v_breaks.front(),
/// v_breaks.back()]. The lines u = u_breaks[i] and v = v_breaks[k] divide it into cells; span i is
/// between u_breaks[i] and u_breaks[i + 1], piece k likewise. Position is continuous across all
/// borders and both sides of a border share its parameter. Tangent planes may differ across u
/// borders and v borders (a crease).
class Surface {
 public:
  virtual ~Surface() = default;

  /// Position and derivatives by the law of this cell, also for u and v outside the cell (the law
  /// goes on smoothly a little beyond every border, the ends included). `normal` is unit, outward:
  /// its side only matters to BridgedLength. On a closed surface v is given within
  /// [v_breaks.front(), v_breaks.back()] up to that overshoot.
  [[nodiscard]] virtual SkinJet JetAt(double u, double v, int span, int piece) const = 0;
  /// The same without second derivatives.
  [[nodiscard]] virtual SkinPoint At(double u, double v, int span, int piece) const {
    return JetAt(u, v, span, piece);  // NOLINT(cppcoreguidelines-slicing): first derivatives
  }

  [[nodiscard]] const std::vector<double>& u_breaks() const { return u_breaks_; }
  [[nodiscard]] const std::vector<double>& v_breaks() const { return v_breaks_; }
  /// True when v = v_breaks.front() and v = v_breaks.back() are the same line.
  [[nodiscard]] bool v_closed() const { return v_closed_; }
  [[nodiscard]] double v_period() const { return v_breaks_.back() - v_breaks_.front(); }
  [[nodiscard]] int span_count() const { return static_cast<int>(u_breaks_.size()) - 1; }
  [[nodiscard]] int piece_count() const { return static_cast<int>(v_breaks_.size()) - 1; }

 protected:
  /// @pre both lists strictly increasing, at least two entries each.
  Surface(std::vector<double> u_breaks, std::vector<double> v_breaks, bool v_closed)
      : u_breaks_(std::move(u_breaks)), v_breaks_(std::move(v_breaks)), v_closed_(v_closed) {}

 private:
  std::vector<double> u_breaks_;
  std::vector<double> v_breaks_;
  bool v_closed_;
};

/// A part's skin as a surface.
class SkinSurface final : public Surface {
 public:
  explicit SkinSurface(std::shared_ptr<const Skin> skin)
      : Surface(Spans(*skin), Pieces(*skin), skin->closed()), skin_(std::move(skin)) {}

  [[nodiscard]] SkinJet JetAt(double u, double v, int span, int piece) const override {
    return skin_->JetAt(u, v, span, piece);
  }
  [[nodiscard]] SkinPoint At(double u, double v, int span, int piece) const override {
    return skin_->At(u, v, span, piece);
  }

 private:
  static std::vector<double> Spans(const Skin& skin) {
    std::vector<double> breaks;
    for (int i = 0; i <= skin.span_count(); ++i) breaks.push_back(skin.span_start(i));
    return breaks;
  }
  static std::vector<double> Pieces(const Skin& skin) {
    std::vector<double> breaks;
    for (int k = 0; k <= skin.piece_count(); ++k) breaks.push_back(k);
    return breaks;
  }

  std::shared_ptr<const Skin> skin_;
};

}  // namespace holeward
