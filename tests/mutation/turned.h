// Comparisons and signs that can be turned round while a program runs: mutate.py puts
// `a < turned::Sign<17>{} < b` where the source says `a < b`, for all changes of a file at once,
// and the environment says which one is turned (HOLEWARD_TURNED=17). So a file is compiled once,
// not once a change. Both operators have the precedence of the one they stand for, and the result
// is that of the plain operators.
#pragma once

#include <cstdlib>
#include <type_traits>

// What is written as two operators warns of what stands there only once.
#pragma GCC diagnostic ignored "-Wconversion"
#pragma GCC diagnostic ignored "-Wparentheses"
#pragma GCC diagnostic ignored "-Wshadow"
#pragma GCC diagnostic ignored "-Wsign-compare"
#pragma GCC diagnostic ignored "-Wextra"

namespace holeward::turned {

inline bool IsOn(int number) {
  static const int active = [] {
    const char* const text = std::getenv("HOLEWARD_TURNED");
    return text != nullptr ? std::atoi(text) : 0;
  }();
  return active == number;
}

/// A value that owns what it holds: results of Eigen's operators refer to their operands.
template <class T>
constexpr auto Owned(T&& value) {
  if constexpr (requires { value.derived().eval(); }) {
    return value.derived().eval();
  } else {
    return std::remove_cvref_t<T>(static_cast<T&&>(value));
  }
}

template <int kNumber>
struct Sign {};

template <class Left, int kNumber>
struct Begun {
  const Left& left;
};

template <class Right, int kNumber>
struct Added {
  const Right& right;
};

// The change has no meaning for these operands (texts have no difference): it would not compile.
[[noreturn]] inline void Meaningless() { std::abort(); }

}  // namespace holeward::turned

// NOLINTBEGIN
#define HOLEWARD_TURNED_BINARY(op, other)                                                  \
  template <class Left, int kNumber>                                                       \
  constexpr auto operator op(const Left& left, Sign<kNumber>) {                            \
    return Begun<Left, kNumber>{left};                                                     \
  }                                                                                        \
  template <class Left, int kNumber, class Right>                                          \
  constexpr auto operator op(Begun<Left, kNumber> begun, const Right& right) {             \
    if (std::is_constant_evaluated() || !IsOn(kNumber)) return Owned(begun.left op right); \
    using Result = decltype(Owned(begun.left op right));                                   \
    if constexpr (requires { Result(Owned(begun.left other right)); }) {                   \
      return Result(Owned(begun.left other right));                                        \
    } else {                                                                               \
      Meaningless();                                                                       \
      return Owned(begun.left op right);                                                   \
    }                                                                                      \
  }

#define HOLEWARD_TURNED_ASSIGNMENT(op, other)                            \
  template <int kNumber, class Right>                                    \
  constexpr auto operator op(Sign<kNumber>, const Right& right) {        \
    return Added<Right, kNumber>{right};                                 \
  }                                                                      \
  template <class Left, class Right, int kNumber>                        \
  constexpr Left& operator op(Left& left, Added<Right, kNumber> added) { \
    if (std::is_constant_evaluated() || !IsOn(kNumber)) {                \
      left op added.right;                                               \
    } else if constexpr (requires { left other added.right; }) {         \
      left other added.right;                                            \
    } else {                                                             \
      Meaningless();                                                     \
    }                                                                    \
    return left;                                                         \
  }

namespace holeward::turned {
HOLEWARD_TURNED_BINARY(<, >=)
HOLEWARD_TURNED_BINARY(>, <=)
HOLEWARD_TURNED_BINARY(<=, >)
HOLEWARD_TURNED_BINARY(>=, <)
HOLEWARD_TURNED_BINARY(==, !=)
HOLEWARD_TURNED_BINARY(!=, ==)
HOLEWARD_TURNED_BINARY(+, -)
HOLEWARD_TURNED_BINARY(-, +)
HOLEWARD_TURNED_ASSIGNMENT(+=, -=)
HOLEWARD_TURNED_ASSIGNMENT(-=, +=)

/// Stands for the minus of a single value: `-x` is written `Sign<17>{} % x`.
template <int kNumber, class Value>
constexpr auto operator%(Sign<kNumber>, const Value& value) {
  using Result = decltype(Owned(-value));
  if (std::is_constant_evaluated() || !IsOn(kNumber)) return Result(Owned(-value));
  return Result(Owned(value));
}
}  // namespace holeward::turned
#undef HOLEWARD_TURNED_BINARY
#undef HOLEWARD_TURNED_ASSIGNMENT
// NOLINTEND
