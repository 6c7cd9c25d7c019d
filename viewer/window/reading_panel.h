// What is read between two places of a part: the places said by name or number, or picked in the
// picture.
#pragma once

#include <QWidget>
#include <array>
#include <functional>
#include <string>
#include <vector>

class QComboBox;
class QLabel;

namespace holeward {

/// What there is to read on: a part of a side, and its places with names.
struct ReadingGround {
  QString side;  ///< "left"
  QString part;
  QStringList places;
  [[nodiscard]] bool operator==(const ReadingGround&) const = default;
};

class ReadingPanel : public QWidget {
 public:
  explicit ReadingPanel(QWidget* parent = nullptr);

  /// Offers parts and places; what is written stays.
  void Offer(const std::vector<ReadingGround>& grounds);
  /// Shows places that were picked.
  void ShowPlaces(const QString& side, const QString& part, const std::array<QString, 2>& places);
  /// Where nothing is written yet: reads on this part.
  void Prefer(const QString& side, const QString& part);
  /// Shows what was read, a line each, or why nothing was.
  void ShowResult(const QStringList& lines);

  /// Both places of a part of a side, as they are written; either may be empty.
  std::function<void(const QString& side, const QString& part,
                     const std::array<QString, 2>& places)>
      on_read;

 private:
  void OfferPlaces();
  void Read();

  QComboBox* ground_;
  std::array<QComboBox*, 2> places_;
  QLabel* result_;
  std::vector<ReadingGround> grounds_;
};

}  // namespace holeward
