"""What others find after `cmake --install` and in the Debian package: it runs from anywhere, its
manual page and completions say what its help says, and its models link into ten lines of C++."""
import gzip
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from test_cli import CALCS, PROGRAM, ROOT, commands

BUILD = PROGRAM.parent


def done(*command, cwd="/", env=None):
    result = subprocess.run([str(word) for word in command], cwd=cwd, capture_output=True, text=True,
                            env={**os.environ, **(env or {})}, timeout=300, check=False)
    assert result.returncode == 0, f"{command}: {result.stdout}{result.stderr}"
    return result.stdout


@pytest.fixture(scope="module")
def prefix(tmp_path_factory):
    place = tmp_path_factory.mktemp("prefix")
    done("cmake", "--install", BUILD, "--prefix", place)
    return place


@pytest.fixture(scope="module")
def package(tmp_path_factory):
    """The tree of the Debian package, and the package."""
    place = tmp_path_factory.mktemp("deb")
    done("cpack", "-G", "DEB", "--config", BUILD / "CPackConfig.cmake", "-B", place, cwd=BUILD)
    (file,) = place.glob("*.deb")
    done("dpkg-deb", "-x", file, place / "root")
    return place / "root", file


def every_command():
    return ["", *commands(), *(f"calc {name}" for name in CALCS)]


def options_in_help(command):
    text = done(PROGRAM, *command.split(), "--help")
    return set(re.findall(r"(?<![\w-])(--[a-z][a-z-]+)", text.split("\nExamples:")[-1].split("\n\n", 1)[-1]))


def plain(page):
    return page.replace("\\-", "-")


def test_every_command_and_option_of_the_help_stands_in_the_manual_page(prefix):
    page = plain((prefix / "share/man/man1/mistwright.1").read_text())
    for command in every_command():
        section = page if not command else page.split(f".SS mistwright {command}\n")[1].split("\n.S")[0]
        section += page.split(".SH OPTIONS OF EVERY COMMAND")[1]
        for option in options_in_help(command) - {"--help"}:
            assert f"\\fB{option}\\fR" in section, f"{command}: {option}"


def test_the_manual_page_is_set_without_complaint_and_lists_the_keys(prefix):
    page = prefix / "share/man/man1/mistwright.1"
    result = subprocess.run(["groff", "-man", "-Tutf8", "-ww", "-z", page], capture_output=True, text=True,
                            check=False)
    assert result.returncode == 0 and result.stderr == ""
    text = plain(page.read_text())
    for key in ("shade_cloth", "cuttings_per_area", "max_gap", "air_step"):
        assert key in text


def bash_completion(prefix, line):
    """What bash offers at the end of a line."""
    script = """
source "$1"; COMP_LINE=$2; read -ra COMP_WORDS <<<"$2"
[[ $2 == *" " ]] && COMP_WORDS+=("")
COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); _mistwright; printf '%s\\n' "${COMPREPLY[@]}"
"""
    return done("bash", "-c", script, "bash", prefix / "share/bash-completion/completions/mistwright", line,
                cwd=ROOT).split()


def test_bash_offers_every_command_and_option_of_the_help(prefix):
    assert {*commands(), "help"} == set(bash_completion(prefix, "mistwright "))
    assert set(bash_completion(prefix, "mistwright calc ")) == set(CALCS)
    for command in every_command():
        offered = set(bash_completion(prefix, f"mistwright {command} --".replace("  ", " ")))
        assert options_in_help(command) <= offered, command
        assert len(offered) > 2


def test_bash_offers_keys_after_set_and_files_for_a_scenario(prefix):
    assert bash_completion(prefix, "mistwright run a.toml --set house.shade_c") == ["house.shade_cloth="]
    assert "scenarios/demo.toml" in bash_completion(prefix, "mistwright run scenarios/demo.t")
    assert bash_completion(prefix, "mistwright calc air --temperature ") == []


def fish_completion(prefix, line):
    """What fish offers at the end of a line."""
    script = "source $argv[1]; complete -C $argv[2]"
    file = prefix / "share/fish/vendor_completions.d/mistwright.fish"
    offered = done("fish", "--no-config", "-c", script, file, line, cwd=ROOT, env={"HOME": str(prefix.parent)})
    return {choice.split("\t")[0] for choice in offered.splitlines()}


def test_fish_offers_every_command_and_option_of_the_help(prefix):
    assert {*commands(), "help"} == fish_completion(prefix, "mistwright ")
    assert fish_completion(prefix, "mistwright calc ") == set(CALCS)
    for command in every_command():
        offered = fish_completion(prefix, f"mistwright {command} --".replace("  ", " "))
        assert options_in_help(command) <= offered, command
    assert fish_completion(prefix, "mistwright run a.toml --set house.shade_c") == {"house.shade_cloth="}


def test_zsh_reads_its_completion_without_complaint(prefix):
    done("zsh", "-f", "-n", prefix / "share/zsh/vendor-completions/_mistwright")


@pytest.mark.parametrize("file", ["zsh/vendor-completions/_mistwright", "fish/vendor_completions.d/mistwright.fish"])
def test_other_shells_are_told_every_command_and_option(prefix, file):
    text = (prefix / "share" / file).read_text()
    for command in every_command():
        for option in options_in_help(command):
            assert f"{option}[" in text or re.search(rf" -l {option[2:]}\b", text), f"{command}: {option}"
        if command:
            assert re.search(rf"\b{command.split()[-1]}\b", text)


def test_the_installed_program_finds_its_examples_wherever_it_is_moved(prefix, tmp_path):
    moved = tmp_path / "elsewhere"
    shutil.copytree(prefix, moved)
    assert "medium_mist" in done(moved / "bin/mistwright", "heads", cwd=tmp_path)
    scenarios = moved / "share/mistwright/scenarios"
    for name in sorted(scenarios.glob("*.toml")):
        done(moved / "bin/mistwright", "check", name, "--allow-starved", cwd=tmp_path)
    other = tmp_path / "share"
    (other / "scenarios/heads").mkdir(parents=True)
    shutil.copy(scenarios / "heads/coarse.toml", other / "scenarios/heads/only_this.toml")
    listed = done(moved / "bin/mistwright", "heads", cwd=tmp_path, env={"MISTWRIGHT_SHARE": str(other)})
    assert "only_this" in listed and "medium_mist" not in listed


def test_the_built_program_finds_its_examples_from_any_folder(tmp_path):
    assert "medium_mist" in done(PROGRAM, "heads", cwd=tmp_path)


def test_nothing_installed_names_the_folder_it_was_built_in(prefix):
    files = [file for file in prefix.rglob("*") if file.is_file()]
    assert prefix / "bin/mistwright" in files and prefix / "lib/mistwright/libmistwright_leaf.a" in files
    assert not [file for file in files if os.fsencode(ROOT) in file.read_bytes()]
    assert "RUNPATH" not in done("readelf", "-d", prefix / "bin/mistwright")


def test_ten_lines_of_cpp_link_against_the_installed_models(prefix, tmp_path):
    (tmp_path / "wet.cpp").write_text("""#include <cstdio>
#include "models/air/psychrometrics.h"
#include "models/leaf/film.h"
#include "models/water/pipe.h"
int main() {
  mistwright::water::Pipe pipe;
  pipe.length_m = 25.0;
  pipe.diameter_m = 0.016;
  std::printf("%.3f %.3f\\n", mistwright::air::saturation_pressure_Pa(298.15),
              mistwright::water::pipe_drop_Pa(pipe, 1e-4, mistwright::water::liquid_water(288.15)));
}
""")
    env = {"PKG_CONFIG_PATH": str(prefix / "lib/pkgconfig")}
    flags = done("pkg-config", "--cflags", "--libs", "mistwright", env=env).split()
    done("c++", tmp_path / "wet.cpp", "-o", tmp_path / "wet", *flags)
    vapour, drop = map(float, done(tmp_path / "wet").split())
    assert abs(vapour - 3169.9) < 0.6  # IAPWS R7-97, 298.15 K: 3169.9 Pa
    assert drop > 1000.0


def test_the_debian_package_holds_what_a_package_must(package):
    root, file = package
    fields = done("dpkg-deb", "-f", file)
    for field, value in (("Package", "mistwright"), ("Section", "science"), ("Depends", "libhdf5"),
                         ("Description", "simulate cuttings under intermittent mist")):
        assert re.search(rf"^{field}: .*{value}", fields, re.M), fields
    doc = root / "usr/share/doc/mistwright"
    licences = (doc / "copyright").read_text()
    assert "License: Apache-2.0" in licences
    # The report carries a plotting library, whose notice goes wherever the program goes.
    owner = re.search(r"Copyright \(c\) (.*)", (ROOT / "sim/report/vendor/LICENSE").read_text())[1]
    assert f"Copyright: {owner}\nLicense: Expat\n Permission is hereby granted" in licences
    assert licences.endswith(" THE SOFTWARE.\n")
    assert "mistwright (" in gzip.decompress((doc / "changelog.gz").read_bytes()).decode()
    assert gzip.decompress((root / "usr/share/man/man1/mistwright.1.gz").read_bytes())
    assert not list(root.rglob("*.a"))


def test_the_unpacked_package_runs(package, tmp_path):
    root, _ = package
    program = root / "usr/bin/mistwright"
    assert re.fullmatch(r"mistwright \d+\.\d+\.\d+\n", done(program, "--version", cwd=tmp_path))
    assert "medium_mist" in done(program, "heads", cwd=tmp_path)
    answer = done(program, "check", root / "usr/share/mistwright/scenarios/typical_year_week.toml", cwd=tmp_path)
    assert "Nothing is wrong with it" in answer


def test_lintian_finds_no_error_in_the_package(package):
    result = subprocess.run(["lintian", "--fail-on", "error", str(package[1])], capture_output=True, text=True,
                            check=False)
    assert not re.findall(r"^E: .*$", result.stdout, re.M), result.stdout


if os.environ.get("MISTWRIGHT_FULL") == "1" and os.geteuid() == 0:

    def test_the_package_installs_into_a_fresh_debian_and_runs_there(package, tmp_path):
        name = package[1].name
        shutil.copy(package[1], tmp_path / name)
        done("mmdebstrap", "--variant=minbase", "--mode=root", f"--customize-hook=copy-in {tmp_path / name} /",
             f"--customize-hook=chroot \"$1\" apt-get install -y --no-install-recommends /{name}",
             "--customize-hook=chroot \"$1\" mistwright heads",
             "--customize-hook=chroot \"$1\" mistwright check /usr/share/mistwright/scenarios/demo.toml",
             "bookworm", tmp_path / "root.tar", cwd=tmp_path)
