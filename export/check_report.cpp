#include "export/check_report.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "export/limit_words.h"
#include "export/upper.h"

namespace holeward {
namespace {

constexpr std::size_t kLineWidth = 100;

/// Characters of a UTF-8 text.
std::size_t Length(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0) != 0x80;
  }));
}

bool IsNumber(const std::string& text) {
  return !text.empty() && text.find_first_not_of("0123456789.-+") == std::string::npos;
}

std::string Mm(double value) { return fmt::format("{:.2f}", value + 0.0); }
std::string Mm(const std::optional<double>& value) { return value ? Mm(*value) : "-"; }

/// Indented text, broken at spaces.
std::string Paragraph(const std::string& text, std::size_t indent = 2) {
  std::string out;
  std::string line(indent, ' ');
  std::string rest = text;
  while (!rest.empty()) {
    const std::size_t space = rest.find(' ');
    const std::string word = rest.substr(0, space);
    rest = space == std::string::npos ? std::string() : rest.substr(space + 1);
    if (Length(line) > indent && Length(line) + Length(word) + 1 > kLineWidth) {
      out += line + '\n';
      line = std::string(indent + 2, ' ');
    }
    if (line.back() != ' ') line += ' ';
    line += word;
  }
  return out + line + '\n';
}

std::string Heading(const std::string& words) { return fmt::format("\n{}\n", words); }

std::string Values(const std::vector<ValueWords>& values) {
  std::size_t name = 0;
  std::size_t value = 0;
  for (const ValueWords& v : values) {
    name = std::max(name, Length(v.name));
    value = std::max(value, Length(v.value));
  }
  std::string out;
  for (const ValueWords& v : values) {
    out += fmt::format("  {}{}{}{}{}\n", v.name, std::string(name - Length(v.name) + 2, ' '),
                       v.value, std::string(value - Length(v.value) + 2, ' '), v.meaning);
  }
  return out;
}

std::string HeadText(const CheckReportInput& input) {
  std::string sides;
  for (const Side side : input.sides)
    sides += fmt::format("{}{}", sides.empty() ? "" : ", ", Word(side));
  std::string out = "CHECK REPORT\n============\n\n";
  out += fmt::format("Job      {}\n", input.head.title);
  out += fmt::format("Set      {} · {}\n", input.head.set_number, input.head.set_revision);
  out += fmt::format("Date     {}\n", input.date);
  out += fmt::format("Hash     {}\n", input.head.hash);
  out += fmt::format("Program  {}\n", input.head.program);
  out += fmt::format("Sides    {}\n", sides);
  out += fmt::format("Posture  {}\n", input.posture.empty() ? "not stated" : input.posture);
  out += fmt::format("\nOVERALL VERDICT: {}\n", Upper(Word(input.overall)));
  if (!input.head.complete) {
    out += "Only part of the job was looked at: nothing is released on it.\n";
  }
  return out;
}

std::string BasicsText(const Basics& basics) {
  std::string out = Heading("LIMITS USED") + Values(WordsOf(basics.limits));
  out += Heading("MARKING HALF-WIDTHS") + Values(WordsOf(basics.marking));
  out += Paragraph(fmt::format("Drawn for the probability of contact: {}.",
                               WordsOf(basics.marking.distribution)));
  if (basics.zeroed.empty()) return out + "  No error is set to 0.\n";
  std::string names;
  for (const std::string& name : basics.zeroed)
    names += fmt::format("{}{}", names.empty() ? "" : ", ", name);
  return out +
         Paragraph(fmt::format("Set to 0 by the job: {}. Nobody works without error: what rests on "
                               "this is only as good as that claim.",
                               names));
}

std::vector<std::string> HoleRow(const HoleOut& row) {
  const HoleCheck& h = row.check;
  const bool met = h.outcome == Outcome::met;
  const auto if_met = [&](const std::optional<double>& value) {
    return met ? Mm(value) : std::string("-");
  };
  std::string meets = h.outcome == Outcome::nothing ? "nothing" : "not computed";
  if (met && h.first_contact) meets = h.first_contact->body;
  return {h.point,
          Word(row.side),
          h.part,
          std::to_string(h.stage),
          Mm(h.diameter),
          Mm(h.near_wall),
          Mm(h.breakthrough),
          if_met(h.free_depth),
          meets,
          Mm(h.stop),
          Word(h.stop_from),
          h.through ? "yes" : "no",
          if_met(h.margin),
          if_met(h.margin_worst),
          h.access_known ? Mm(h.access) : "-",
          Word(h.verdict)};
}

std::string HolesText(const std::vector<HoleOut>& holes) {
  if (holes.empty()) return "  none\n";
  std::vector<std::vector<std::string>> rows = {
      {"hole", "side", "part", "stage", "dia", "wall", "break", "free", "meets first", "stop",
       "set by", "through", "margin", "worst", "access", "verdict"}};
  for (const HoleOut& row : holes) rows.push_back(HoleRow(row));
  return Columns(rows);
}

std::string PointsText(const std::vector<PointCheckOut>& points) {
  if (points.empty()) return "  none\n";
  std::vector<std::vector<std::string>> rows = {{"point", "side", "part", "use", "edge",
                                                 "nearest edge", "next hole", "seat gap", "access",
                                                 "verdict"}};
  for (const PointCheckOut& row : points) {
    const PointCheck& p = row.check;
    rows.push_back({p.point, Word(row.side), p.part, p.test ? "test" : "drill", Mm(p.edge_distance),
                    p.nearest_edge.empty() ? "-" : p.nearest_edge, Mm(p.nearest_hole),
                    p.test ? Mm(p.seat_gap) : "-", p.access_known ? Mm(p.access) : "-",
                    Word(p.verdict)});
  }
  return Columns(rows);
}

std::string WrapsText(const std::vector<WrapRow>& wraps, double limit) {
  std::vector<std::vector<std::string>> rows = {{"template", "side", "mark", "wrap error"}};
  for (const WrapRow& row : wraps) {
    rows.push_back({row.sheet, Word(row.side), row.mark, fmt::format("{:.3f}", row.error + 0.0)});
  }
  return Columns(rows) +
         Paragraph(fmt::format("How far each mark lands from its place when the flat sheet is laid "
                               "by its alignment edges and smoothed outward; the limit is {} mm.",
                               Mm(limit)));
}

std::string MisfitsText(const std::vector<MisfitRow>& misfits) {
  std::string out;
  for (const MisfitRow& row : misfits) {
    std::string places;
    for (const std::string& place : row.places) places += (places.empty() ? "" : " and ") + place;
    out += Paragraph(fmt::format("Template \"{}\", {}, piece \"{}\", also fits {}.", row.sheet,
                                 Word(row.side), row.piece, places));
  }
  return out;
}

std::string Reasons(const CheckReportInput& input) {
  std::string out;
  const auto add = [&](const std::string& what, Verdict verdict,
                       const std::vector<std::string>& reasons) {
    if (verdict == Verdict::clear && reasons.empty()) return;
    std::string text = fmt::format("{}: {}.", what, Word(verdict));
    for (const std::string& reason : reasons) text += fmt::format(" {}", reason);
    if (reasons.empty()) text += " No reason was recorded.";
    out += Paragraph(text);
  };
  for (const HoleOut& row : input.holes) {
    add(fmt::format("{} {}, stage {} ({:.1f} mm)", row.check.point, Word(row.side), row.check.stage,
                    row.check.diameter),
        row.check.verdict, row.check.reasons);
  }
  for (const PointCheckOut& row : input.points) {
    add(fmt::format("{} {}, as a point", row.check.point, Word(row.side)), row.check.verdict,
        row.check.reasons);
  }
  return out.empty() ? "  Everything is clear.\n" : out;
}

/// Name of the first hole or point with a number that is not finite, or empty.
std::string FirstBad(const CheckReportInput& input) {
  const auto ok = [](const std::optional<double>& value) {
    return !value || std::isfinite(*value);
  };
  for (const HoleOut& row : input.holes) {
    const HoleCheck& h = row.check;
    if (!(ok(h.diameter) && ok(h.near_wall) && ok(h.breakthrough) && ok(h.free_depth) &&
          ok(h.stop) && ok(h.margin) && ok(h.margin_worst) && ok(h.access))) {
      return fmt::format("hole \"{}\", stage {}", h.point, h.stage);
    }
  }
  for (const PointCheckOut& row : input.points) {
    const PointCheck& p = row.check;
    if (!(ok(p.edge_distance) && ok(p.nearest_hole) && ok(p.seat_gap) && ok(p.access))) {
      return fmt::format("point \"{}\"", p.point);
    }
  }
  for (const WrapRow& row : input.wraps) {
    if (!ok(row.error)) return fmt::format("template \"{}\", mark {}", row.sheet, row.mark);
  }
  return {};
}

}  // namespace

std::string Columns(const std::vector<std::vector<std::string>>& rows) {
  const std::size_t count = rows[0].size();
  std::vector<std::size_t> widths(count, 0);
  std::vector<bool> right(count, rows.size() > 1);
  for (std::size_t c = 0; c < count; ++c) {
    for (const std::vector<std::string>& row : rows)
      widths[c] = std::max(widths[c], Length(row[c]));
    right[c] = rows.size() > 1 && std::all_of(rows.begin() + 1, rows.end(),
                                              [c](const auto& row) { return IsNumber(row[c]); });
  }
  const auto line = [&](const std::vector<std::string>& cells) {
    std::string text;
    for (std::size_t c = 0; c < count; ++c) {
      const std::string pad(widths[c] - Length(cells[c]), ' ');
      text +=
          right[c] ? fmt::format("  {}{}", pad, cells[c]) : fmt::format("  {}{}", cells[c], pad);
    }
    text.erase(text.find_last_not_of(' ') + 1);
    return text + '\n';
  };
  std::vector<std::string> rule;
  rule.reserve(count);
  for (const std::size_t width : widths) rule.emplace_back(width, '-');
  std::string out = line(rows[0]) + line(rule);
  for (std::size_t r = 1; r < rows.size(); ++r) out += line(rows[r]);
  return out;
}

Result<std::string> CheckReport(const CheckReportInput& input) {
  const std::string bad = FirstBad(input);
  if (!bad.empty()) {
    return Fail(ErrorKind::computed, fmt::format("{} holds a value that is not a number", bad));
  }
  std::string out = HeadText(input);
  out += Heading("HOLES (mm)") + HolesText(input.holes);
  out += Heading("POINTS (mm)") + PointsText(input.points);
  if (!input.wraps.empty()) {
    out += Heading("TEMPLATES (mm)") + WrapsText(input.wraps, input.basics.limits.wrap_error) +
           MisfitsText(input.misfits);
  }
  out += Heading("REASONS") + Reasons(input);
  out += BasicsText(input.basics);
  out += Heading("NOT CHECKED");
  if (input.not_checked.empty()) out += "  Nothing was left out.\n";
  for (const std::string& sentence : input.not_checked) out += Paragraph(sentence);
  out += Heading("CAUTION");
  for (const std::string& caution : input.cautions.empty() ? StandardCautions() : input.cautions) {
    out += Paragraph(caution);
  }
  return out;
}

}  // namespace holeward
