#include <algorithm>
#include <map>
#include <new>
#include <set>

#include "models/contracts.h"
#include "sim/record/conform.h"
#include "sim/record/hdf5_file.h"
#include "sim/record/hdf5_library.h"
#include "sim/record/whole_file.h"

namespace mistwright::record {
namespace {

constexpr std::uint64_t largest_file_bytes = std::uint64_t{4} << 30;

std::string get_text(const H5::Attribute& attribute) {
  const H5::StrType type = attribute.getStrType();
  std::string text(type.getSize(), '\0');
  check(H5Aread(attribute.getId(), type.getId(), text.data()));
  while (!text.empty() && text.back() == '\0') text.pop_back();
  return text;
}

[[noreturn]] void damaged(const std::string& path) {
  throw FileError(path, "this file is damaged: its content does not agree with its checksums",
                  "Use another copy of it, or run the scenario again");
}

/// Names that the writer itself makes of other things.
bool is_ours(const std::string& name) {
  static const std::set<std::string> names{
      "long_name",     "units",          "standard_name", "cell_methods", "flag_values",
      "flag_meanings", "flag_words",     "axes",          "_FillValue",   "CLASS",
      "NAME",          "DIMENSION_LIST", "REFERENCE_LIST"};
  return names.contains(name);
}

std::map<std::string, std::string> get_texts(const H5::H5Object& object) {
  std::map<std::string, std::string> texts;
  for (unsigned i = 0; i < static_cast<unsigned>(object.getNumAttrs()); ++i) {
    const H5::Attribute attribute = object.openAttribute(i);
    if (attribute.getTypeClass() == H5T_STRING &&
        !H5Tis_variable_str(attribute.getStrType().getId()))
      texts[attribute.getName()] = get_text(attribute);
  }
  return texts;
}

std::vector<std::string> split(const std::string& text, char separator) {
  std::vector<std::string> parts(1);
  for (const char c : text) {
    if (c == separator)
      parts.emplace_back();
    else
      parts.back() += c;
  }
  return parts;
}

std::vector<std::string> children(const H5::Group& group) {
  std::vector<std::string> names;
  const hsize_t count = group.getNumObjs();
  for (hsize_t i = 0; i < count; ++i) {
    const ssize_t length = H5Lget_name_by_idx(group.getId(), ".", H5_INDEX_CRT_ORDER, H5_ITER_INC,
                                              i, nullptr, 0, H5P_DEFAULT);
    if (length <= 0) throw H5::Exception("HDF5", "a link without a name");
    std::string name(static_cast<std::size_t>(length) + 1, '\0');
    H5Lget_name_by_idx(group.getId(), ".", H5_INDEX_CRT_ORDER, H5_ITER_INC, i, name.data(),
                       name.size(), H5P_DEFAULT);
    name.pop_back();
    H5L_info_t info{};
    check(H5Lget_info(group.getId(), name.c_str(), &info, H5P_DEFAULT));
    if (info.type != H5L_TYPE_HARD) throw H5::Exception("HDF5", "a link to elsewhere");
    names.push_back(std::move(name));
  }
  return names;
}

Variable get_variable(const H5::Group& parent, const std::string& name,
                      std::vector<hsize_t>& sizes) {
  const H5::DataSet dataset = parent.openDataSet(name);
  Variable variable{.name = name, .long_name = {}, .units = {}, .dimensions = {}, .values = {}};
  std::map<std::string, std::string> texts = get_texts(dataset);
  variable.long_name = texts["long_name"];
  variable.units = texts["units"];
  variable.standard_name = texts["standard_name"];
  variable.cell_methods = texts["cell_methods"];
  if (!texts["axes"].empty()) variable.dimensions = split(texts["axes"], ' ');
  if (texts.contains("flag_words")) variable.flag_meanings = split(texts["flag_words"], '\n');
  for (const auto& [key, text] : texts)
    if (!is_ours(key)) variable.attributes.emplace(key, text);
  const H5::DataSpace space = dataset.getSpace();
  sizes.resize(static_cast<std::size_t>(space.getSimpleExtentNdims()));
  if (sizes.size() != variable.dimensions.size()) throw H5::Exception("HDF5", "axes do not fit");
  if (!sizes.empty()) space.getSimpleExtentDims(sizes.data());
  const H5T_class_t kind = dataset.getTypeClass();
  if (kind != H5T_INTEGER && kind != H5T_FLOAT)
    throw H5::Exception("HDF5", "a kind of number not written here");
  variable.whole = kind == H5T_INTEGER;
  // Sizes are believed only as far as the bytes behind them can reach: deflate gains at most
  // 1032-fold.
  const auto most = static_cast<long double>(dataset.getStorageSize()) * 1100.0L + 64.0L;
  long double wanted = 8.0L;
  for (const hsize_t size : sizes) wanted *= static_cast<long double>(size);
  if (wanted > most) throw H5::Exception("HDF5", "sizes without content");
  variable.values.resize(static_cast<std::size_t>(wanted / 8.0L));
  if (!variable.values.empty()) dataset.read(variable.values.data(), H5::PredType::NATIVE_DOUBLE);
  return variable;
}

Group get_group(const H5::H5File& file, const std::string& name) {
  const H5::Group parent = file.openGroup(name);
  Group group{.name = name, .dimensions = {}, .variables = {}, .attributes = get_texts(parent)};
  for (const std::string& child : children(parent)) {
    std::vector<hsize_t> sizes;
    group.variables.push_back(get_variable(parent, child, sizes));
    if (group.variables.back().dimensions == std::vector<std::string>{child})
      group.dimensions.push_back({child, static_cast<std::size_t>(sizes[0])});
  }
  return group;
}

Record get_record(const H5::H5File& file, const std::string& path) {
  const H5::Group root = file.openGroup("/");
  Record record{.attributes = get_texts(root), .groups = {}};
  const auto schema = record.attributes.find(schema_name);
  if (schema == record.attributes.end())
    throw FileError(path, "this HDF5 file was not written by mistwright",
                    "Name a file written by mistwright run");
  if (schema->second != std::to_string(schema_version))
    throw FileError(path,
                    "this file has layout " + schema->second + "; this program reads layout " +
                        std::to_string(schema_version),
                    "Use the version of mistwright that wrote it, or a newer one");
  for (const std::string& name : children(root)) record.groups.push_back(get_group(file, name));
  return record;
}

}  // namespace

Record from_hdf5_image(const std::string& bytes, const std::string& path) {
  if (!bytes.starts_with("\x89HDF\r\n\x1a\n"))
    throw FileError(path, bytes.empty() ? "this file is empty" : "this is not an HDF5 file",
                    "Name a file written by mistwright run");
  Record record;
  {
    const Library library;
    try {
      const H5::FileAccPropList access = in_memory();
      // The library copies the bytes and never changes these; its interface lacks the const.
      check(H5Pset_file_image(access.getId(), const_cast<char*>(bytes.data()), bytes.size()));
      record = get_record(
          H5::H5File("result", H5F_ACC_RDONLY, H5::FileCreatPropList::DEFAULT, access), path);
    } catch (const H5::Exception&) {
      damaged(path);
    } catch (const std::bad_alloc&) {
      damaged(path);
    }
  }
  try {
    if (record.attributes[digest_name] != content_sha256(conforming(record))) damaged(path);
  } catch (const ContractError&) {
    damaged(path);
  }
  return record;
}

Record read_hdf5(const std::string& path) {
  return from_hdf5_image(read_whole_file(path, largest_file_bytes), path);
}

}  // namespace mistwright::record
