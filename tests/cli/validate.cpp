// SPDX-License-Identifier: Apache-2.0
// validate SCHEMA FILE...: holds JSON files against a JSON schema of draft 7. Exit status 0 if all are valid, 1 if one
// is not, 2 if a file is no JSON.
#include <cstdio>
#include <fstream>

#include <nlohmann/json.hpp>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>

int main(int argc, char** argv) {
  using Adapter = valijson::adapters::NlohmannJsonAdapter;
  const auto load = [](const char* path) {
    std::ifstream file(path);
    return nlohmann::json::parse(file, nullptr, false);
  };
  if (argc < 3) return 2;
  const nlohmann::json text = load(argv[1]);
  if (text.is_discarded()) return 2;
  valijson::Schema schema;
  valijson::SchemaParser parser(valijson::SchemaParser::kDraft7);
  parser.populateSchema(Adapter(text), schema);
  int status = 0;
  for (int i = 2; i < argc; ++i) {
    const nlohmann::json document = load(argv[i]);
    if (document.is_discarded()) {
      std::printf("%s: no JSON\n", argv[i]);
      return 2;
    }
    valijson::Validator validator(valijson::Validator::kStrongTypes);
    valijson::ValidationResults results;
    if (validator.validate(schema, Adapter(document), &results)) continue;
    status = 1;
    for (const auto& fault : results) {
      std::string where;
      for (const std::string& step : fault.context) where += step;
      std::printf("%s: %s: %s\n", argv[i], where.c_str(), fault.description.c_str());
    }
  }
  return status;
}
