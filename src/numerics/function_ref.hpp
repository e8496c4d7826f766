// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <type_traits>
#include <utility>

namespace fw::numerics {

template <class Signature>
class FunctionRef;

/// Refers to a callable for the time of one call; never owns it, never allocates. For parameters only: a FunctionRef
/// must not outlive what it refers to.
///
/// A template because the signature is its argument; it keeps the bodies of the solvers in .cpp files.
template <class Out, class... In>
class FunctionRef<Out(In...)> {
 public:
  template <class Callable>
    requires(!std::is_same_v<std::remove_cvref_t<Callable>, FunctionRef> &&
             std::is_object_v<std::remove_reference_t<Callable>> && std::is_invocable_r_v<Out, Callable&, In...>)
  FunctionRef(Callable&& callable)  // NOLINT(google-explicit-constructor): stands in for the callable
      : object_(const_cast<void*>(static_cast<const void*>(std::addressof(callable)))),
        call_([](void* object, In... in) -> Out {
          return (*static_cast<std::add_pointer_t<std::remove_reference_t<Callable>>>(object))(std::forward<In>(in)...);
        }) {}

  Out operator()(In... in) const { return call_(object_, std::forward<In>(in)...); }

 private:
  void* object_;
  Out (*call_)(void*, In...);
};

}  // namespace fw::numerics
