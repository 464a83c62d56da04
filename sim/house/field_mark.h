#pragma once
// What the airflow's solver is: a digest of its source and of the flags it is built with, made by
// field_mark.cmake when either changes. A field kept by another solver is then not found.

namespace mistwright {

extern const char* const field_solver_mark;  ///< 64 hexadecimal digits

}  // namespace mistwright
