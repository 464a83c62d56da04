#include "sim/record/record.h"

#include <algorithm>
#include <stdexcept>

namespace mistwright::record {
namespace {

template <class Item>
const Item* find_by_name(const std::vector<Item>& items, const std::string& wanted) {
  const auto it = std::find_if(items.begin(), items.end(),
                               [&](const Item& item) { return item.name == wanted; });
  return it == items.end() ? nullptr : &*it;
}

}  // namespace

const Variable* Group::find(const std::string& wanted) const {
  return find_by_name(variables, wanted);
}

const Variable& Group::variable(const std::string& wanted) const {
  if (const Variable* found = find(wanted)) return *found;
  throw std::out_of_range("group " + name + " holds no variable " + wanted);
}

const Group* Record::find(const std::string& wanted) const {
  return find_by_name(groups, wanted);
}

const Group& Record::group(const std::string& wanted) const {
  if (const Group* found = find(wanted)) return *found;
  throw std::out_of_range("the record holds no group " + wanted);
}

}  // namespace mistwright::record
