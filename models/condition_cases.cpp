#include "models/condition_cases.h"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

#include "models/condition_words.h"

namespace holeward {
namespace {

using NodeId = std::size_t;
constexpr NodeId kFalse = 0;
constexpr NodeId kTrue = 1;

struct TooMany {};

/// The cases of one test point: one entry that stands for each.
struct Question {
  TestPlace place;
  std::vector<TestEntry> cases;
};

/// The limits that the leaves below compare each place with; a place that is only tested has none.
void Gather(const Condition& condition, std::map<TestPlace, std::set<double>>* limits) {
  if (condition.kind == Condition::Kind::result) (*limits)[condition.place];
  if (condition.kind == Condition::Kind::remaining) {
    (*limits)[condition.place].insert(condition.limit);
  }
  for (const Condition& part : condition.parts) Gather(part, limits);
}

/// One thickness below the first limit, each limit, one between neighbours, one above the last.
std::vector<double> Standing(const std::set<double>& limits) {
  std::vector<double> values;
  double before = 0.0;
  for (const double limit : limits) {
    values.push_back((before + limit) / 2.0);
    values.push_back(limit);
    before = limit;
  }
  values.push_back(before + 1.0);
  return values;
}

Question QuestionOf(const TestPlace& place, const std::set<double>& limits) {
  Question question{place, {}};
  for (const TestResult result : {TestResult::pass, TestResult::fail}) {
    if (limits.empty()) question.cases.push_back({result, std::nullopt});
    if (limits.empty()) continue;
    for (const double value : Standing(limits)) question.cases.push_back({result, value});
  }
  question.cases.push_back({TestResult::not_tested, std::nullopt});
  return question;
}

/// The decision diagrams of one flow. A node asks one question and has a child for each case of it;
/// equal nodes are one, so that two conditions mean the same exactly if their nodes are the same.
class Diagrams {
 public:
  explicit Diagrams(std::vector<Question> questions) : questions_(std::move(questions)) {
    nodes_.push_back({questions_.size(), {}});  // kFalse
    nodes_.push_back({questions_.size(), {}});  // kTrue
  }

  NodeId Build(const Condition& condition) {
    switch (condition.kind) {
      case Condition::Kind::always: return kTrue;
      case Condition::Kind::result:
      case Condition::Kind::remaining: return Leaf(condition);
      case Condition::Kind::negation: return Negated(Build(condition.parts.front()));
      case Condition::Kind::all:
      case Condition::Kind::any: break;
    }
    const bool all = condition.kind == Condition::Kind::all;
    std::vector<NodeId> parts;
    for (const Condition& part : condition.parts) parts.push_back(Build(part));
    // The last question first: then each join only puts a node on top.
    std::sort(parts.begin(), parts.end(),
              [&](NodeId a, NodeId b) { return nodes_[a].question > nodes_[b].question; });
    NodeId joined = all ? kTrue : kFalse;
    for (const NodeId part : parts) joined = Join(joined, part, all);
    return joined;
  }

  NodeId And(NodeId a, NodeId b) { return Join(a, b, true); }

  NodeId Negated(NodeId node) {
    if (node == kFalse) return kTrue;
    if (node == kTrue) return kFalse;
    const auto known = negated_.find(node);
    if (known != negated_.end()) return known->second;
    const Node from = nodes_[node];
    Node made{from.question, {}};
    for (const NodeId child : from.children) made.children.push_back(Negated(child));
    return negated_[node] = Unique(std::move(made));
  }

  /// A case in which `node`, not kFalse, is true; questions that do not matter are left at their
  /// first case.
  [[nodiscard]] TestEntries Witness(NodeId node) const {
    TestEntries entries;
    for (std::size_t i = 0; i < questions_.size(); ++i) {
      const Question& question = questions_[i];
      std::size_t chosen = 0;
      if (nodes_[node].question == i) {
        const auto& children = nodes_[node].children;
        while (children[chosen] == kFalse) ++chosen;
        node = children[chosen];
      }
      entries[question.place] = question.cases[chosen];
    }
    return entries;
  }

 private:
  struct Node {
    std::size_t question = 0;
    std::vector<NodeId> children;
    [[nodiscard]] auto operator<=>(const Node&) const = default;
  };

  NodeId Unique(Node node) {
    const bool same = std::all_of(node.children.begin(), node.children.end(),
                                  [&](NodeId child) { return child == node.children.front(); });
    if (same) return node.children.front();
    const auto found = known_.find(node);
    if (found != known_.end()) return found->second;
    if (nodes_.size() >= kMostCaseNodes) throw TooMany{};
    nodes_.push_back(node);
    return known_[std::move(node)] = nodes_.size() - 1;
  }

  NodeId Leaf(const Condition& condition) {
    const auto at = std::lower_bound(
        questions_.begin(), questions_.end(), condition.place,
        [](const Question& question, const TestPlace& place) { return question.place < place; });
    Node node{static_cast<std::size_t>(at - questions_.begin()), {}};
    for (const TestEntry& entry : at->cases) {
      const Truth truth = Holds(condition, {{at->place, entry}});
      node.children.push_back(truth == Truth::yes ? kTrue : kFalse);
    }
    return Unique(std::move(node));
  }

  NodeId Join(NodeId a, NodeId b, bool all) {
    const NodeId settles = all ? kFalse : kTrue;
    if (a == settles || b == settles) return settles;
    if (a <= kTrue) return b;
    if (b <= kTrue || a == b) return a;
    auto& joined = all ? all_ : any_;
    const std::pair key(std::min(a, b), std::max(a, b));
    const auto known = joined.find(key);
    if (known != joined.end()) return known->second;
    const Node left = nodes_[a];
    const Node right = nodes_[b];
    Node made{std::min(left.question, right.question), {}};
    const std::size_t cases = questions_[made.question].cases.size();
    for (std::size_t i = 0; i < cases; ++i) {
      const NodeId x = left.question == made.question ? left.children[i] : a;
      const NodeId y = right.question == made.question ? right.children[i] : b;
      made.children.push_back(Join(x, y, all));
    }
    if (joined.size() >= 4 * kMostCaseNodes) throw TooMany{};
    return joined[key] = Unique(std::move(made));
  }

  std::vector<Question> questions_;  ///< by place
  std::vector<Node> nodes_;
  std::map<Node, NodeId> known_;
  std::map<NodeId, NodeId> negated_;
  std::map<std::pair<NodeId, NodeId>, NodeId> all_, any_;
};

FlowFaults Checked(const std::vector<const Condition*>& flow, Diagrams* diagrams) {
  FlowFaults faults;
  NodeId open = kTrue;  // the cases that no decision so far has taken
  for (std::size_t i = 0; i < flow.size(); ++i) {
    const NodeId holds = diagrams->Build(*flow[i]);
    if (diagrams->And(open, holds) == kFalse) faults.unreachable.push_back(i);
    open = diagrams->And(open, diagrams->Negated(holds));
  }
  if (open != kFalse) faults.undecided = diagrams->Witness(open);
  return faults;
}

}  // namespace

FlowFaults CheckFlow(const std::vector<const Condition*>& flow) {
  std::map<TestPlace, std::set<double>> limits;
  for (const Condition* condition : flow) Gather(*condition, &limits);
  std::vector<Question> questions;
  for (const auto& [place, at] : limits) questions.push_back(QuestionOf(place, at));
  Diagrams diagrams(std::move(questions));
  try {
    return Checked(flow, &diagrams);
  } catch (const TooMany&) {
    FlowFaults faults;
    faults.too_entangled = true;
    return faults;
  }
}

std::string CaseWords(const TestEntries& entries) {
  std::string words;
  for (const auto& [place, entry] : entries) {
    words += fmt::format("{}{} {} {}", words.empty() ? "" : ", ",
                         place.side == Side::left ? "left" : "right", place.point,
                         Verb(entry.result.value_or(TestResult::not_tested)));
    if (entry.remaining) words += fmt::format(" with {:.4g} mm remaining", *entry.remaining);
  }
  return words.empty() ? "whatever the tests give" : words;
}

}  // namespace holeward
