#pragma once
// The only place where work is spread over threads. Each index writes to its own slot; whoever
// needs a sum adds the slots in index order, so the bits do not depend on the thread count.
#include <cstddef>

#if !defined(__EMSCRIPTEN__)
#include <tbb/blocked_range.h>
#include <tbb/global_control.h>
#include <tbb/parallel_for.h>
#include <tbb/task_arena.h>
#endif

namespace mistwright {

/// Calls body(index, worker) for every index below count, on at most `threads` threads.
/// `worker` runs from 0 to threads-1 and names the thread's scratch space, never an order.
template <class Body>
void parallel_for(std::size_t count, int threads, const Body& body) {
#if !defined(__EMSCRIPTEN__)
  if (threads > 1 && count > 1) {
    const tbb::global_control limit(tbb::global_control::max_allowed_parallelism,
                                    static_cast<std::size_t>(threads));
    tbb::task_arena arena(threads);
    arena.execute([&] {
      tbb::parallel_for(tbb::blocked_range<std::size_t>(0, count, 1),
                        [&](const tbb::blocked_range<std::size_t>& range) {
                          const int worker = tbb::this_task_arena::current_thread_index();
                          for (std::size_t i = range.begin(); i != range.end(); ++i)
                            body(i, worker);
                        });
    });
    return;
  }
#endif
  static_cast<void>(threads);
  for (std::size_t i = 0; i < count; ++i) body(i, 0);
}

}  // namespace mistwright
