// Work with exchange files in a process of its own: what a damaged file does to the geometry kernel
// there (a crash, a hang, all memory eaten) is one sentence here.
#pragma once

#include <cstddef>
#include <string>

#include "geometry/result.h"

namespace holeward {

/// What the process may use before it is stopped.
struct ExchangeLimits {
  unsigned computing = 60;                     ///< s of computing: what the work may need
  double clock = 300.0;                        ///< s: beyond it, it hangs; a busy machine does not
  std::size_t memory = std::size_t{3} << 30;   ///< bytes of address space
  std::size_t reply = std::size_t{512} << 20;  ///< bytes of its answer, and of any file
};

/// Where the process's program stands: beside the running one, above it, or in ../libexec/holeward
/// as seen from it. Errors (file): nowhere.
[[nodiscard]] Result<std::string> ExchangeProgram();

/// The folder of the running program's file; empty where the system does not tell.
[[nodiscard]] std::string FolderOfProgram();

/// A program that belongs to the running one: beside it, in the folder above, or in
/// ../libexec/holeward. Empty: nowhere.
[[nodiscard]] std::string ProgramBeside(const std::string& name);

/// Runs the program with a request on its standard input and gives what it wrote to its standard
/// output. Its standard error is thrown away.
/// @param doing what it is for, for the messages: "reading \"arm.step\""
/// Errors (computed): it crashed, was stopped at a limit, left with another status than 0, or
/// answered with nothing; (file): it could not be started.
[[nodiscard]] Result<std::string> RunExchange(const std::string& program,
                                              const std::string& request, const std::string& doing,
                                              const ExchangeLimits& limits = {});

}  // namespace holeward
