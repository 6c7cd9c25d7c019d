// Errors as values: what user input can cause is returned, never thrown.
#pragma once

#include <string>
#include <utility>

#include <tl/expected.hpp>

namespace holeward {

/// What kind of failure an Error tells of; it decides the exit status.
enum class ErrorKind {
  job,       ///< the job (or the command line) asks for something wrong or impossible: exit 2
  file,      ///< a file could not be read or written: exit 4
  computed,  ///< no result could be computed (kernel failure, no convergence): exit 4
};

/// A failure in words a user understands: names the part, point or value that caused it.
struct Error {
  ErrorKind kind = ErrorKind::computed;
  std::string message;
};

template <class T>
using Result = tl::expected<T, Error>;

/// Shorthand for returning an error: `return Fail(ErrorKind::job, "…");`
[[nodiscard]] inline tl::unexpected<Error> Fail(ErrorKind kind, std::string message) {
  return tl::unexpected<Error>(Error{kind, std::move(message)});
}

}  // namespace holeward
