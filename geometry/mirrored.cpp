#include "geometry/mirrored.h"

#include <cctype>
#include <string>

namespace holeward {
namespace {

Zone Mirrored(const Zone& zone) {
  Zone image = zone;
  image.direction = holeward::Mirrored(zone.direction);
  for (Vec3& step : image.makeup.per_unit) step = holeward::Mirrored(step);
  return image;
}

}  // namespace

std::string EndsExchanged(const std::string& text, const Part& part) {
  const auto is_word = [](char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0; };
  const auto named_at = [&](std::size_t at, const std::string& name) {
    return !name.empty() && text.compare(at, name.size(), name) == 0 &&
           (at == 0 || !is_word(text[at - 1])) &&
           (at + name.size() >= text.size() || !is_word(text[at + name.size()]));
  };
  std::string result;
  for (std::size_t at = 0; at < text.size();) {
    if (named_at(at, part.start)) {
      result += part.finish;
      at += part.start.size();
    } else if (named_at(at, part.finish)) {
      result += part.start;
      at += part.finish.size();
    } else {
      result += text[at++];
    }
  }
  return result;
}

PlacedPoint Mirrored(const PlacedPoint& point, const Part& part) {
  PlacedPoint image = point;
  image.position = Mirrored(point.position);
  image.normal = Mirrored(point.normal);
  image.zone = Mirrored(point.zone);
  for (NominalPlace& nominal : image.nominals) {
    nominal.position = Mirrored(nominal.position);
    nominal.normal = Mirrored(nominal.normal);
    nominal.zone = Mirrored(nominal.zone);
  }
  if (part.shared) {
    image.station = part.skin->length() - point.station;
    for (Reading& reading : image.readings) {
      reading.from = EndsExchanged(reading.from, part);
    }
  }
  return image;
}

DevelopedPiece Mirrored(const DevelopedPiece& piece, const Part& part) {
  DevelopedPiece image = Mirrored(piece);
  if (part.shared) {
    for (FlatLine& line : image.lines) {
      for (std::string& name : line.words.names) name = EndsExchanged(name, part);
    }
  }
  return image;
}

HoleCheck Mirrored(const HoleCheck& hole) {
  HoleCheck image = hole;
  if (image.first_contact) {
    image.first_contact->position = Mirrored(image.first_contact->position);
  }
  if (image.worst_pose) {
    image.worst_pose->entry = Mirrored(image.worst_pose->entry);
    image.worst_pose->direction = Mirrored(image.worst_pose->direction);
  }
  return image;
}

PointCheck Mirrored(const PointCheck& check, const Part& part) {
  PointCheck image = check;
  if (part.shared) {
    image.nearest_edge = EndsExchanged(image.nearest_edge, part);
    for (std::string& reason : image.reasons) reason = EndsExchanged(reason, part);
  }
  return image;
}

}  // namespace holeward
