#pragma once
// Where something is, in the words of one who stands in the house.
#include <string>
#include <vector>

#include "sim/record/record.h"

namespace mistwright::report {

/// Gives places of a house their words: "north bench, fan end, between heads 2 and 3".
class Places {
 public:
  /// Reads the groups `house` and `heads`; either may be missing, then its part of the words is
  /// too.
  explicit Places(const record::Record& record);

  [[nodiscard]] std::string words(double x_m, double y_m) const;
  /// Name of the end of the house at small x (front) or large x (back): "fan end", "door end",
  /// "east end".
  [[nodiscard]] const std::string& end_words(bool back) const { return back ? back_ : front_; }

  struct Spot {
    std::string name;
    double x_m = 0.0, y_m = 0.0;
  };
  struct Table {
    std::string name;
    double x_m = 0.0, y_m = 0.0, length_m = 0.0, width_m = 0.0, height_m = 0.0, skirt_m = 0.0;
  };
  [[nodiscard]] const std::vector<Table>& benches() const { return benches_; }
  [[nodiscard]] const std::vector<Spot>& heads() const { return heads_; }

 private:
  void name_ends(const record::Group& house);
  [[nodiscard]] std::string head_words(double x_m, double y_m, const Table* bench) const;

  std::vector<Table> benches_;
  std::vector<Spot> heads_;
  std::string front_ = "front end", back_ = "back end", right_side_, left_side_;
};

/// An attribute's text; nullptr where the record has no such group or attribute.
[[nodiscard]] const std::string* attribute_text(const record::Record& record,
                                                const std::string& group, const std::string& name);

/// A number that a group keeps as text in an attribute; `otherwise` where it has none.
[[nodiscard]] double attribute_number(const record::Group& group, const std::string& name,
                                      double otherwise);

/// The word of a category's value.
[[nodiscard]] std::string flag_word(const record::Variable& variable, std::size_t index);

}  // namespace mistwright::report
