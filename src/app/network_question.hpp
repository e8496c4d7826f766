// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "base/result.hpp"

namespace fw::app {

/// All marginals of a network given what was seen; for whoever checks or writes networks.
struct NetworkQuestion {
  std::string file;                      ///< JSON, docs/reference/network.md
  std::string network;                   ///< which of the file's, "" if it holds one
  std::vector<std::string> given;        ///< "NODE=STATE"
  std::vector<std::string> likelihoods;  ///< "NODE=w1,w2,..."
  std::vector<std::string> soft;         ///< "NODE=p1,p2,..."
};
struct NetworkAnswer {
  std::string text;
  std::string json;  ///< schema fuelwright.network-answer/1.0
};
/// Errors: those of read_file, read_networks and diagnosis::infer; invalid_input for what is not in the network.
[[nodiscard]] Result<NetworkAnswer> ask_network(const NetworkQuestion& question);

}  // namespace fw::app
