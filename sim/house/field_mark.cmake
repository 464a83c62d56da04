# Writes OUT, the definition of field_mark.h: the digest of FLAGS and of the files in LIST, a file that
# names one on each line, in that order, each by its name and content.
file(STRINGS ${LIST} sources)
set(all "${FLAGS}")
foreach(source IN LISTS sources)
  file(SHA256 ${source} digest)
  get_filename_component(name ${source} NAME)
  string(APPEND all "\n${digest} ${name}")
endforeach()
string(SHA256 mark "${all}")
file(WRITE ${OUT} "#include \"sim/house/field_mark.h\"\n\nnamespace mistwright {\n\nconst char* const \
field_solver_mark =\n    \"${mark}\";\n\n}  // namespace mistwright\n")
