// SPDX-License-Identifier: Apache-2.0
#include "cli/long_work.hpp"

#include <signal.h>  // NOLINT(modernize-deprecated-headers): POSIX masks are not in <csignal>
#include <unistd.h>

#include <cstdio>
#include <ctime>
#include <system_error>

#include "cli/commands.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

namespace {

constexpr auto a_glance = std::chrono::milliseconds(400);
constexpr auto one_press = std::chrono::milliseconds(300);  // the terminal and a parent process may both pass it on
constexpr auto between_lines = std::chrono::milliseconds(100);

/// What the watcher waits for: Ctrl-C, and the signal by which it is told to end.
sigset_t watched_signals() {
  sigset_t signals;
  sigemptyset(&signals);
  sigaddset(&signals, SIGINT);
  sigaddset(&signals, SIGUSR1);
  return signals;
}

}  // namespace

app::Request request_of(const CommandLine& line) {
  return {.system = line.system,
          .seed = line.seed,
          .depth = line.depth,
          .all_points = line.full,
          .out = line.out,
          .width = terminal_columns(),
          .catalog_folder = line.catalog_folder,
          .created = creation_time(),
          .papers = line.paper == "owner"           ? app::Papers::owner
                    : line.paper == "technical"     ? app::Papers::technical
                    : line.paper == "authorisation" ? app::Papers::authorisation
                    : line.paper == "all"           ? app::Papers::all
                                                    : app::Papers::page,
          .size = line.size == "letter" ? report::PageSize::letter : report::PageSize::a4};
}

TerminalProgress::TerminalProgress()
    : shown_(can_move_cursor(STDERR_FILENO)), next_(std::chrono::steady_clock::now() + a_glance) {}

TerminalProgress::~TerminalProgress() {
  if (on_line_) std::fputs("\r\x1b[K", stderr);
}

void TerminalProgress::at(std::string_view what, std::size_t done, std::size_t total) {
  if (!shown_) return;
  const std::unique_lock lock(mutex_, std::try_to_lock);
  if (!lock.owns_lock()) return;  // another thread is drawing; its line is as good
  share_.at(what, done, total);
  const auto now = std::chrono::steady_clock::now();
  if (now < next_) return;
  next_ = now + between_lines;
  std::fprintf(stderr, "\r%s\x1b[K", progress_line(share_, columns_of(STDERR_FILENO) - 1).c_str());
  std::fflush(stderr);
  on_line_ = true;
}

Interrupts::Interrupts() {
  struct sigaction present{};
  sigaction(SIGINT, nullptr, &present);
  if (present.sa_handler == SIG_IGN) return;
  const sigset_t signals = watched_signals();
  pthread_sigmask(SIG_BLOCK, &signals, nullptr);
  try {
    watcher_ = std::thread([this] { watch(); });
  } catch (const std::system_error&) {
    pthread_sigmask(SIG_UNBLOCK, &signals, nullptr);  // no thread to be had: Ctrl-C ends the program as it always did
  }
}

void Interrupts::watch() {
  const sigset_t signals = watched_signals();
  std::chrono::steady_clock::time_point asked;
  for (;;) {
    int signal = 0;
    if (sigwait(&signals, &signal) != 0 || signal != SIGINT) return;
    const auto now = std::chrono::steady_clock::now();
    if (source_.request_stop()) {
      asked = now;
    } else if (now - asked > one_press) {
      _exit(interrupted);
    }
  }
}

Interrupts::~Interrupts() {
  if (!watcher_.joinable()) return;
  pthread_kill(watcher_.native_handle(), SIGUSR1);
  watcher_.join();
  const sigset_t signals = watched_signals();
  if (source_.stop_requested()) {
    // The press that was heeded may have come twice: what is left of it must not end the program after all.
    sigset_t press;
    sigemptyset(&press);
    sigaddset(&press, SIGINT);
    const timespec no_wait{};
    while (sigtimedwait(&press, nullptr, &no_wait) == SIGINT) {
    }
  }
  pthread_sigmask(SIG_UNBLOCK, &signals, nullptr);
}

}  // namespace fw::cli
