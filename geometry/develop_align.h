// How a template piece is lined up: which stretch its datums need, and the lines it is laid by.
#pragma once

#include <string>
#include <vector>

#include "geometry/develop_layout.h"

namespace holeward {

/// A range of a parameter that grows with what is added to it.
struct PieceExtent {
  double from = 0.0;
  double to = 0.0;
  void Add(double x);
};

/// The u range of the marks.
[[nodiscard]] PieceExtent MarkedU(const PieceRequest& request);

/// The datum of that name and form that the part's solid shows; null if there is none.
[[nodiscard]] const NamedPlace* ShownAs(const PieceRequest& request, const std::string& name,
                                        NamedPlace::Form form);

/// Collects the alignment lines of one piece, and stretches the piece so that they are on it.
class Aligner {
 public:
  /// @param v_marked  range of the marks in v, not wrapped
  Aligner(const PieceRequest& request, const PieceExtent& v_marked);

  /// If `name` is an end of the part: aligned to it. False: it is not an end.
  [[nodiscard]] bool AlignToEnd(const std::string& name);
  /// If `name` is a fitting that this piece can show: aligned to the sides nearest the marks.
  /// @param only_face  the face whose fittings count; empty: all
  [[nodiscard]] bool AlignToFitting(const std::string& name, const std::string& only_face);
  /// If `name` is a section that the file of the part's solid shows: aligned to it.
  [[nodiscard]] bool AlignToSection(const std::string& name);
  /// A line along the part at v.
  void Along(const std::string& name, Phrase words, double v);
  /// A line across the part at u.
  void Across(const std::string& name, Phrase words, double u);
  /// Hands the lines over; those without a range of their own run over the whole piece.
  void Finish(PieceLayout& out);

  [[nodiscard]] PieceExtent& u() { return u_; }
  [[nodiscard]] PieceExtent& v() { return v_; }

 private:
  void AlignToSides(const Fitting& fitting);
  void AlignToDisc(const Fitting& fitting);

  const PieceRequest& r_;
  const Skin& skin_;
  PieceExtent u_;
  PieceExtent v_marked_, v_;
  std::vector<AlignLine> lines_;
};

}  // namespace holeward
