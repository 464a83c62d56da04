#include "sim/record/hdf5_file.h"

#include <hdf5_hl.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <cstring>

#include "models/contracts.h"
#include "sim/record/conform.h"
#include "sim/record/hdf5_library.h"
#include "sim/record/whole_file.h"

namespace mistwright::record {
namespace {

constexpr hsize_t largest_chunk_values = 1U
                                         << 17;  // 1 MiB: what HDF5's chunk cache holds by default

/// Fixed length: such text lies in the object's header, which has a checksum of its own.
void put_text(const H5::H5Object& object, const std::string& name, const std::string& text) {
  H5::StrType type(H5::PredType::C_S1, std::max<std::size_t>(text.size(), 1));
  type.setCset(H5T_CSET_UTF8);
  type.setStrpad(H5T_STR_NULLPAD);
  object.createAttribute(name, type, H5::DataSpace(H5S_SCALAR))
      .write(type, text.empty() ? std::string(1, '\0') : text);
}

/// CF writes meanings as words separated by blanks, so a meaning of several words takes
/// underscores. The words as they were are kept beside them, a line each.
void put_flags(const H5::DataSet& dataset, const std::vector<std::string>& meanings) {
  std::vector<std::int64_t> values;
  std::string blank_separated, lines;
  for (const std::string& meaning : meanings) {
    std::string word = meaning.empty() ? "none" : meaning;
    std::replace_if(
        word.begin(), word.end(), [](unsigned char c) { return c <= ' '; }, '_');
    blank_separated += (values.empty() ? "" : " ") + word;
    lines += (values.empty() ? "" : "\n") + meaning;
    values.push_back(static_cast<std::int64_t>(values.size()));
  }
  const hsize_t count = values.size();
  dataset.createAttribute("flag_values", H5::PredType::STD_I64LE, H5::DataSpace(1, &count))
      .write(H5::PredType::NATIVE_INT64, values.data());
  put_text(dataset, "flag_meanings", blank_separated);
  put_text(dataset, "flag_words", lines);
}

H5::DSetCreatPropList storage(const std::vector<hsize_t>& sizes) {
  H5::DSetCreatPropList properties;
  check(H5Pset_obj_track_times(properties.getId(), false));
  if (sizes.empty()) return properties;
  std::vector<hsize_t> chunk(sizes);
  for (hsize_t& size : chunk) size = std::max<hsize_t>(size, 1);
  hsize_t values = 1;
  for (const hsize_t size : chunk) values *= size;
  for (std::size_t axis = 0; axis < chunk.size() && values > largest_chunk_values; ++axis) {
    const hsize_t rest = values / chunk[axis];
    chunk[axis] = std::max<hsize_t>(1, largest_chunk_values / rest);
    values = rest * chunk[axis];
  }
  properties.setChunk(static_cast<int>(chunk.size()), chunk.data());
  properties.setShuffle();
  properties.setDeflate(4);
  properties.setFletcher32();
  return properties;
}

void put_attributes(const H5::DataSet& dataset, const Variable& variable) {
  put_text(dataset, "long_name", variable.long_name);
  put_text(dataset, "units", variable.units);
  if (!variable.standard_name.empty()) put_text(dataset, "standard_name", variable.standard_name);
  if (!variable.cell_methods.empty()) put_text(dataset, "cell_methods", variable.cell_methods);
  if (!variable.flag_meanings.empty()) put_flags(dataset, variable.flag_meanings);
  std::string names;
  for (const std::string& name : variable.dimensions) names += (names.empty() ? "" : " ") + name;
  put_text(dataset, "axes", names);
  for (const auto& [name, text] : variable.attributes) put_text(dataset, name, text);
}

H5::DataSet put_variable(const H5::Group& parent, const Group& group, const Variable& variable) {
  std::vector<hsize_t> sizes, largest;
  for (const std::string& name : variable.dimensions)
    for (const Dimension& dimension : group.dimensions)
      if (dimension.name == name) {
        sizes.push_back(dimension.size);
        // A dimension of no length is known to the netCDF library only as one that may still grow.
        largest.push_back(dimension.size == 0 ? H5S_UNLIMITED : dimension.size);
      }
  const H5::DataSpace space =
      sizes.empty() ? H5::DataSpace(H5S_SCALAR)
                    : H5::DataSpace(static_cast<int>(sizes.size()), sizes.data(), largest.data());
  const H5::PredType& type = variable.whole ? H5::PredType::STD_I64LE : H5::PredType::IEEE_F64LE;
  H5::DataSet dataset = parent.createDataSet(variable.name, type, space, storage(sizes));
  // Converted to 64-bit whole numbers by the library; conforming() has seen that nothing is lost.
  if (!variable.values.empty()) dataset.write(variable.values.data(), H5::PredType::NATIVE_DOUBLE);
  put_attributes(dataset, variable);
  if (std::any_of(variable.values.begin(), variable.values.end(),
                  [](double value) { return std::isnan(value); })) {
    const double gap = std::nan("");
    dataset.createAttribute("_FillValue", H5::PredType::IEEE_F64LE, H5::DataSpace(H5S_SCALAR))
        .write(H5::PredType::NATIVE_DOUBLE, &gap);
  }
  return dataset;
}

void put_group(const H5::H5File& file, const Group& group) {
  const hid_t properties = H5Pcreate(H5P_GROUP_CREATE);
  check(H5Pset_link_creation_order(properties, H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED));
  check(H5Pset_obj_track_times(properties, false));
  const hid_t id =
      H5Gcreate2(file.getId(), group.name.c_str(), H5P_DEFAULT, properties, H5P_DEFAULT);
  H5Pclose(properties);
  check(id < 0 ? -1 : 0);
  const H5::Group parent(id);
  H5Gclose(id);  // the object holds it now
  for (const auto& [name, text] : group.attributes) put_text(parent, name, text);
  std::vector<H5::DataSet> datasets;
  for (const Variable& variable : group.variables)
    datasets.push_back(put_variable(parent, group, variable));
  std::map<std::string, std::size_t> place;
  for (std::size_t i = 0; i < datasets.size(); ++i) place[group.variables[i].name] = i;
  for (const Dimension& dimension : group.dimensions)
    check(H5DSset_scale(datasets[place.at(dimension.name)].getId(), dimension.name.c_str()));
  for (std::size_t i = 0; i < datasets.size(); ++i) {
    const Variable& variable = group.variables[i];
    if (variable.dimensions == std::vector<std::string>{variable.name}) continue;
    for (unsigned axis = 0; axis < variable.dimensions.size(); ++axis)
      check(H5DSattach_scale(datasets[i].getId(),
                             datasets[place.at(variable.dimensions[axis])].getId(), axis));
  }
}

/// The file's bytes as they are when the library lets go of them. (H5Fget_file_image of HDF5 1.10
/// clears the mark of an open file but not the checksum over it, so that nobody can open the
/// result.)
class ClosingImage {
 public:
  void take_from(const H5::FileAccPropList& access) {
    H5FD_file_image_callbacks_t calls{};
    calls.image_malloc = [](std::size_t size, H5FD_file_image_op_t, void* self) {
      return of(self).resize(nullptr, size);
    };
    calls.image_realloc = [](void* old, std::size_t size, H5FD_file_image_op_t, void* self) {
      return of(self).resize(old, size);
    };
    calls.image_memcpy = [](void* to, const void* from, std::size_t size, H5FD_file_image_op_t,
                            void*) { return std::memcpy(to, from, size); };
    calls.image_free = [](void* memory, H5FD_file_image_op_t, void* self) -> herr_t {
      of(self).bytes_.assign(static_cast<const char*>(memory), of(self).size_);
      std::free(memory);
      return 0;
    };
    calls.udata_copy = [](void* self) { return self; };
    calls.udata_free = [](void*) -> herr_t { return 0; };
    calls.udata = this;
    check(H5Pset_file_image_callbacks(access.getId(), &calls));
  }

  /// The library holds memory in steps; the superblock (version 3, bytes 28 to 35) says where the
  /// file ends.
  [[nodiscard]] std::string bytes() {
    constexpr std::size_t end_place = 28;
    EXPECT(bytes_.size() >= end_place + 8);
    std::uint64_t end = 0;
    std::memcpy(&end, bytes_.data() + end_place, sizeof end);
    EXPECT(end <= bytes_.size());
    bytes_.resize(end);
    return std::move(bytes_);
  }

 private:
  static ClosingImage& of(void* self) { return *static_cast<ClosingImage*>(self); }
  void* resize(void* old, std::size_t size) {
    void* memory = std::realloc(old, size);
    if (memory != nullptr) size_ = size;
    return memory;
  }

  std::size_t size_ = 0;
  std::string bytes_;
};

}  // namespace

std::string hdf5_image(const Record& given) {
  const Record record = conforming(given);
  const Library library;
  ClosingImage image;
  try {
    H5::FileCreatPropList creation;
    check(H5Pset_link_creation_order(creation.getId(),
                                     H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED));
    check(H5Pset_obj_track_times(creation.getId(), false));
    const H5::FileAccPropList access = in_memory();
    image.take_from(access);
    const H5::H5File file("result", H5F_ACC_TRUNC, creation, access);
    const H5::Group root = file.openGroup("/");
    for (const auto& [name, text] : record.attributes)
      if (name != schema_name && name != digest_name) put_text(root, name, text);
    put_text(root, schema_name, std::to_string(schema_version));
    put_text(root, digest_name, content_sha256(record));
    for (const Group& group : record.groups) put_group(file, group);
  } catch (const H5::Exception& error) {
    throw ContractError("results cannot be laid out: " + error.getDetailMsg());
  }
  return image.bytes();
}

void write_hdf5(const Record& record, const std::string& path, bool overwrite) {
  expect_writable(path, overwrite);
  write_whole_file(path, hdf5_image(record), overwrite);
}

}  // namespace mistwright::record
