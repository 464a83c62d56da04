#include "sim/app/manual.h"

#include <fmt/format.h>

#include <algorithm>

#include "sim/app/console.h"
#include "sim/app/help.h"
#include "sim/scenario/schema.h"

namespace mistwright::app {
namespace {

using Words = std::vector<std::string>;

/// Text for the man macros: no dash, point or backslash that they would take for their own.
std::string roff(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '-') {
      out += "\\-";
    } else if (c == '\\') {
      out += "\\e";
    } else {
      out += c;
    }
  }
  return out.starts_with(".") || out.starts_with("'") ? "\\&" + out : out;
}

std::string bold(const Words& names) {
  std::string out;
  for (const std::string& name : names)
    out += fmt::format("{}\\fB{}\\fR", out.empty() ? "" : ", ", roff(name));
  return out;
}

std::string described(const std::vector<OptionWords>& options) {
  std::string out;
  for (const OptionWords& option : options) {
    out += fmt::format(
        ".TP\n{}{}\n{}\n", bold(option.names),
        option.value.empty() || option.word ? "" : fmt::format(" \\fI{}\\fR", roff(option.value)),
        roff(option.meaning));
  }
  return out;
}

std::string preformatted(std::string_view text) {
  std::string out = ".nf\n";
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    out += roff(text.substr(0, end)) + "\n";
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return out + ".fi\n";
}

/// Keys that `--set` can change: of tables that stand once in a scenario.
Words settable_keys() {
  Words out;
  for (const scenario::Key& key : scenario::keys()) {
    const std::string table = key.table;
    if (scenario::table_heading(table) == fmt::format("[{}]", table))
      out.push_back(fmt::format("{}.{}", table, key.name));
  }
  return out;
}

void add_once(Words& words, const Words& more) {
  for (const std::string& word : more) {
    if (std::find(words.begin(), words.end(), word) == words.end()) words.push_back(word);
  }
}

/// A command of a group, or of the program itself.
std::string path_under(const std::string& group, const std::string& name) {
  return group.empty() ? name : group + " " + name;
}

/// The words that may follow a command.
Words words_under(const std::string& path) {
  Words words = names_under(path);
  if (path.empty()) words.push_back("help");
  return words;
}

/// Names of a command's options and of those that every command takes.
Words option_names(const CommandWords& command, const CommandWords& all) {
  Words out;
  for (const auto* from : {&command, &all}) {
    for (const OptionWords& option : from->options) {
      if (!option.word) add_once(out, option.names);
    }
  }
  return out;
}

std::string function_name(std::string path) {
  std::replace(path.begin(), path.end(), ' ', '_');
  return path;
}

/// The cases by which bash follows the words to a command.
std::string paths_of(const std::vector<CommandWords>& commands) {
  std::string paths;
  for (const CommandWords& c : commands) {
    if (c.path.empty()) continue;
    paths += fmt::format("      '{}{}') path='{}' ;;\n",
                         c.path.find(' ') == std::string::npos ? " " : "", c.path, c.path);
  }
  return paths;
}

bool takes_plain_value(const OptionWords& option) {
  return !option.word && !option.value.empty() && option.value != "FILE" &&
         option.value != "FOLDER" && option.value != "KEY=VALUE";
}

/// The case in which bash has nothing to offer: options whose value is free.
std::string valued_options(const std::vector<CommandWords>& commands) {
  Words valued;
  for (const CommandWords& c : commands) {
    for (const OptionWords& o : c.options) {
      if (takes_plain_value(o)) add_once(valued, o.names);
    }
  }
  return valued.empty() ? std::string()
                        : fmt::format("    {}) return ;;\n", fmt::join(valued, " | "));
}

std::string bash(const std::vector<CommandWords>& commands) {
  std::string cases;
  for (const CommandWords& command : commands) {
    const Words under = words_under(command.path);
    cases +=
        fmt::format("    '{}') words='{}' options='{}' ;;\n", command.path, fmt::join(under, " "),
                    fmt::join(option_names(command, commands.front()), " "));
  }
  return fmt::format(
      R"(# Completion of mistwright for bash.
_mistwright() {{
  local word=${{COMP_WORDS[COMP_CWORD]}} before=${{COMP_WORDS[COMP_CWORD-1]}} path= words= options= i
  COMPREPLY=()
  for ((i = 1; i < COMP_CWORD; i++)); do
    case "$path ${{COMP_WORDS[i]}}" in
{}      *) break ;;
    esac
  done
  case "$path" in
{}  esac
  case "$before" in
    --set)
      compopt -o nospace 2>/dev/null
      COMPREPLY=($(compgen -W '{}' -S = -- "$word"))
      return ;;
    --store) COMPREPLY=($(compgen -d -- "$word")); return ;;
    -o | --output) COMPREPLY=($(compgen -f -- "$word")); return ;;
{}  esac
  if [[ $word == -* ]]; then
    COMPREPLY=($(compgen -W "$options" -- "$word"))
  elif [[ -n $words ]]; then
    COMPREPLY=($(compgen -W "$words" -- "$word"))
  else
    COMPREPLY=($(compgen -f -- "$word"))
  fi
}}
complete -o filenames -F _mistwright mistwright
)",
      paths_of(commands), cases, fmt::join(settable_keys(), " "), valued_options(commands));
}

std::string escaped(std::string_view text, std::string_view marks) {
  std::string out;
  for (const char c : text) {
    if (c == '\'') {
      out += "'\\''";
      continue;
    }
    if (marks.find(c) != std::string_view::npos) out += '\\';
    out += c;
  }
  return out;
}

std::string zsh_option(const OptionWords& option) {
  if (option.word) return "    '*:file:_files' \\\n";
  std::string what;
  if (option.value == "FILE") {
    what = ":file:_files";
  } else if (option.value == "FOLDER") {
    what = ":folder:_files -/";
  } else if (option.value == "KEY=VALUE") {
    what = fmt::format(":key:({})", fmt::join(settable_keys(), " "));
  } else if (!option.value.empty()) {
    what = fmt::format(":{}: ", option.value);
  }
  std::string out;
  for (const std::string& name : option.names)
    out += fmt::format("    '*{}[{}]{}' \\\n", name, escaped(option.meaning, "[]:\\"), what);
  return out;
}

std::string zsh(const std::vector<CommandWords>& commands) {
  std::string functions;
  for (const CommandWords& command : commands) {
    std::string specs;
    for (const OptionWords& option : command.options) specs += zsh_option(option);
    if (!command.path.empty()) {
      for (const OptionWords& option : commands.front().options) specs += zsh_option(option);
    }
    const Words under = words_under(command.path);
    if (under.empty()) {
      functions += fmt::format("_mistwright_{}() {{\n  _arguments -S \\\n{}    && return 0\n}}\n",
                               function_name(command.path), specs);
      continue;
    }
    std::string calls;
    for (const std::string& name : names_under(command.path)) {
      const std::string path = path_under(command.path, name);
      calls += fmt::format("      {}) _mistwright_{} ;;\n", name, function_name(path));
    }
    functions += fmt::format(
        "_mistwright{}() {{\n  local line state\n  _arguments -C -S \\\n{}    '1:command:({})' "
        "\\\n    '*::arg:->args'\n  if [[ $state == args ]]; then\n    case $line[1] in\n{}    "
        "esac\n  fi\n}}\n",
        command.path.empty() ? "" : "_" + function_name(command.path), specs, fmt::join(under, " "),
        calls);
  }
  return "#compdef mistwright\n# Completion of mistwright for zsh.\n" + functions +
         "_mistwright \"$@\"\n";
}

/// @param here  the condition under which it is offered
std::string fish_option(const OptionWords& option, const std::string& here) {
  if (option.word) return fmt::format("complete -c mistwright{} -F\n", here);
  std::string names;
  for (const std::string& name : option.names)
    names += name.starts_with("--") ? " -l " + name.substr(2) : " -s " + name.substr(1);
  std::string takes;
  if (option.value == "FILE") {
    takes = " -r -F";
  } else if (option.value == "FOLDER") {
    takes = " -x -a '(__fish_complete_directories)'";
  } else if (option.value == "KEY=VALUE") {
    takes = fmt::format(" -x -a '{}='", fmt::join(settable_keys(), "= "));
  } else if (!option.value.empty()) {
    takes = " -x";
  }
  return fmt::format("complete -c mistwright{}{}{} -d '{}'\n", here, names, takes,
                     escaped(option.meaning, ""));
}

std::string fish(const std::vector<CommandWords>& commands) {
  std::string out = "# Completion of mistwright for fish.\ncomplete -c mistwright -f\n";
  for (const CommandWords& command : commands) {
    const std::string here = command.path.empty()
                                 ? ""
                                 : fmt::format(" -n '__fish_seen_subcommand_from {}'",
                                               command.path.substr(command.path.rfind(' ') + 1));
    for (const std::string& name : names_under(command.path)) {
      const std::string path = path_under(command.path, name);
      out += fmt::format("complete -c mistwright{} -a {} -d '{}'\n",
                         command.path.empty() ? " -n __fish_use_subcommand" : here, name,
                         escaped(verb(path).purpose, ""));
    }
    for (const OptionWords& option : command.options) out += fish_option(option, here);
  }
  return out +
         "complete -c mistwright -n __fish_use_subcommand -a help -d 'the whole program on one "
         "screen'\n";
}

std::string manual_page(const std::vector<CommandWords>& commands, std::string_view version) {
  const std::string whole = overview();
  std::string out = fmt::format(
      ".TH MISTWRIGHT 1 \"\" \"mistwright {}\" \"User commands\"\n.SH NAME\nmistwright \\- "
      "simulate "
      "cuttings under intermittent mist, from the tap to the film on each leaf\n.SH "
      "SYNOPSIS\n.B mistwright\n.I COMMAND\n[\n.I OPTIONS\n]\n.SH DESCRIPTION\n",
      version);
  out += preformatted(greeting());
  out += ".SH COMMANDS\n";
  for (const CommandWords& command : commands) {
    if (command.path.empty()) continue;
    const Verb& about = verb(command.path);
    out += fmt::format(".SS mistwright {}\n{}.\n", roff(command.path), roff(about.purpose));
    if (!about.notes.empty()) out += ".PP\n" + preformatted(about.notes);
    out += described(command.options);
    out += ".PP\nExamples:\n.PP\n";
    for (const std::string_view example : about.examples) out += preformatted(example);
  }
  out += ".SH OPTIONS OF EVERY COMMAND\n" + described(commands.front().options);
  out +=
      ".SH ENVIRONMENT\n.TP\n.B NO_COLOR\nset: no colour\n.TP\n.B MISTWRIGHT_SHARE\nfolder "
      "whose scenarios hold the example head types, where it is not the program's own "
      "share/mistwright\n.TP\n.B MISTWRIGHT_STORE\nfolder in which run, shade and cans keep "
      "airflow "
      "between runs; empty: none; not set: mistwright/fields in XDG_CACHE_HOME or ~/.cache\n";
  out += ".SH EXIT STATUS\n" + preformatted(whole.substr(whole.find("Exit status: ") + 13));
  out += ".SH KEYS OF A SCENARIO\n" + preformatted(scenario::reference_text());
  return out;
}

}  // namespace

Words leading_words(const Words& arguments) {
  Words words;
  for (const std::string& argument : arguments) {
    if (!argument.empty() && argument[0] == '-') continue;
    words.push_back(argument);
    if (words.size() == 2) break;
  }
  return words;
}

std::string named_path(const Words& words) {
  std::string path;
  for (const std::string& word : words) {
    const auto known = names_under(path);
    if (std::find(known.begin(), known.end(), word) == known.end()) break;
    path = path_under(path, word);
  }
  return path;
}

std::optional<scenario::Problem> unknown_command(const Words& words) {
  const std::string path = named_path(words);
  const bool group = path.empty() || !names_under(path).empty();
  const std::size_t depth =
      path.empty() ? 0 : 1 + static_cast<std::size_t>(std::count(path.begin(), path.end(), ' '));
  if (!group || words.size() <= depth) return {};
  const std::string prefix = path.empty() ? "" : path + " ";
  const auto near = nearest(words[depth], names_under(path));
  return mistake("E0001", fmt::format("unknown command `{}{}`", prefix, words[depth]),
                 near ? fmt::format("the nearest is `mistwright {}{}`", prefix, *near)
                      : fmt::format("commands: {}", fmt::join(names_under(path), ", ")));
}

std::optional<std::string> words_as(std::string_view form, std::vector<CommandWords> commands,
                                    std::string_view version) {
  // What every program takes and the parser is not asked for.
  auto& everywhere = commands.front().options;
  everywhere.push_back({{"-h", "--help"}, "", "help"});
  everywhere.push_back({{"--version"}, "", "the version"});
  if (form == "man") return manual_page(commands, version);
  if (form == "bash") return bash(commands);
  if (form == "zsh") return zsh(commands);
  if (form == "fish") return fish(commands);
  return std::nullopt;
}

}  // namespace mistwright::app
