#include "export/said.h"

#include <algorithm>

#include "export/upper.h"

namespace holeward {

std::string Said(Verdict verdict, const Words& words) {
  switch (verdict) {
    case Verdict::clear: return words.Say("clear");
    case Verdict::tight: return words.Say("tight");
    case Verdict::contact: return words.Say("contact");
    case Verdict::unproven: return words.Say("unproven");
  }
  return words.Say("unproven");
}

std::string SaidLoud(Verdict verdict, const Words& words) {
  const std::string word = Said(verdict, words);
  return verdict == Verdict::clear ? word : Upper(word);
}

std::string Said(Side side, const Words& words) {
  return side == Side::left ? words.Say("left") : words.Say("right");
}

std::string Said(PointUse use, const Words& words) {
  switch (use) {
    case PointUse::reference: return words.Say("reference");
    case PointUse::test: return words.Say("test");
    case PointUse::drill: return words.Say("drill");
  }
  return words.Say("reference");
}

std::string Said(StopFrom from, const Words& words) {
  switch (from) {
    case StopFrom::job: return words.Say("job");
    case StopFrom::proposed: return words.Say("proposed");
    case StopFrom::none: return words.Say("none");
  }
  return words.Say("none");
}

std::string PieceName(const DevelopedPiece& piece, const Words& words) {
  std::string name = piece.name;
  std::string marks;
  for (const std::string& mark : piece.only) marks += (marks.empty() ? "" : ", ") + mark;
  const std::string told_apart = " at " + marks;
  if (!marks.empty() && name.ends_with(told_apart)) name.resize(name.size() - told_apart.size());
  std::vector<std::string> faces;
  for (std::size_t from = 0; from <= name.size();) {
    const std::size_t to = std::min(name.find(", ", from), name.size());
    faces.push_back(name.substr(from, to - from));
    from = to + 2;
  }
  const bool places = std::all_of(faces.begin(), faces.end(), IsPlaceWord);
  const std::string said = places ? words.OwnList(faces) : words.Own(name);
  return marks.empty() ? said : words.Say("{} at {}", said, marks);
}

}  // namespace holeward
