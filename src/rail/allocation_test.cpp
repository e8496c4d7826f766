// SPDX-License-Identifier: Apache-2.0
// The loop over time allocates nothing: every operator new of this program is counted.
#include <atomic>
#include <cstdlib>
#include <new>

#include <gtest/gtest.h>

#include "rail/transient.hpp"
#include "rail_cases.hpp"

#if !defined(__SANITIZE_ADDRESS__)
namespace {
std::atomic<long> allocations{0};  // the program's own operator new can be counted in no other way

void* counted(std::size_t size, std::size_t alignment) {
  ++allocations;
  void* memory = nullptr;
  if (alignment <= alignof(std::max_align_t)) {
    memory = std::malloc(size > 0 ? size : 1);
  } else if (posix_memalign(&memory, alignment, size) != 0) {
    memory = nullptr;
  }
  if (memory == nullptr) throw std::bad_alloc();
  return memory;
}
}  // namespace

void* operator new(std::size_t size) { return counted(size, 1); }
void* operator new[](std::size_t size) { return counted(size, 1); }
void* operator new(std::size_t size, std::align_val_t at) { return counted(size, static_cast<std::size_t>(at)); }
void* operator new[](std::size_t size, std::align_val_t at) { return counted(size, static_cast<std::size_t>(at)); }
void operator delete(void* memory) noexcept { std::free(memory); }
void operator delete[](void* memory) noexcept { std::free(memory); }
void operator delete(void* memory, std::size_t) noexcept { std::free(memory); }
void operator delete[](void* memory, std::size_t) noexcept { std::free(memory); }
void operator delete(void* memory, std::align_val_t) noexcept { std::free(memory); }
void operator delete[](void* memory, std::align_val_t) noexcept { std::free(memory); }
void operator delete(void* memory, std::size_t, std::align_val_t) noexcept { std::free(memory); }
void operator delete[](void* memory, std::size_t, std::align_val_t) noexcept { std::free(memory); }

namespace fw::rail {
namespace {

/// The loop reports after every hundredth of its steps.
class CountingProgress final : public Progress {
 public:
  void at(std::string_view, std::size_t done, std::size_t) override {
    if (done == 0) first = allocations;
    last = allocations;
    ++calls;
  }
  long first = -1;
  long last = -1;
  int calls = 0;
};

TEST(Allocation, LoopOverTimeAllocatesNothing) {
  InlineExecutor executor;
  for (const char* name : {"pull", "start", "air-slug"}) {
    for (const PipeModel pipes : {PipeModel::waves, PipeModel::lumped}) {
      CountingProgress progress;
      const HighPressureSet set = generic_set("v8").value();
      auto ready = ready_profile(set, {.pressure_Pa = 0.5e6}, name).value();
      for (ProfilePoint& point : ready.points) point.pilot_kg = 2e-6;
      const auto run = rail_transient(set, test::page_fuel(), ready.points,
                                      {.end_s = 0.2, .pipes = pipes, .hold = ready.hold, .start_Pa = ready.start_Pa},
                                      {}, {executor, progress, {}});
      ASSERT_TRUE(run.has_value());
      EXPECT_GE(progress.calls, 100) << name;
      EXPECT_GT(progress.first, 0) << name;  // what is allocated before is counted: the counter works
      EXPECT_EQ(progress.last, progress.first) << name;
    }
  }
}

}  // namespace
}  // namespace fw::rail
#endif
