"""Builds the wheel: CMake compiles the module, setuptools packs it. Nothing is fetched."""
import os
import re
import subprocess
import sys
from pathlib import Path

from setuptools import Extension, setup
from setuptools.command.build_ext import build_ext

HERE = Path(__file__).resolve().parent
SOURCE = HERE.parents[1]


class BuildWithCMake(build_ext):
    """Configures and builds the one target, then takes the module from where CMake put it."""

    def build_extension(self, ext):
        build = Path(self.build_temp).resolve() / "cmake"
        subprocess.run(["cmake", "-S", SOURCE, "-B", build, "-G", "Ninja",
                        "-DCMAKE_BUILD_TYPE=Release", "-DMISTWRIGHT_BINDINGS=ON",
                        "-DMISTWRIGHT_TESTS=OFF", "-DMISTWRIGHT_CONTRACTS=OFF",
                        f"-DPython_EXECUTABLE={sys.executable}",
                        *os.environ.get("CMAKE_ARGS", "").split()], check=True)
        jobs = [f"-j{self.parallel}"] if self.parallel else []
        subprocess.run(["cmake", "--build", build, "--target", "mistwright_python", *jobs],
                       check=True)
        target = Path(self.get_ext_fullpath(ext.name)).resolve()
        target.parent.mkdir(parents=True, exist_ok=True)
        built = next((build / "bindings" / "python" / "mistwright").glob("_core*.so"))
        self.copy_file(str(built), str(target))


version = re.search(r"project\(mistwright VERSION ([0-9.]+)",
                    (SOURCE / "CMakeLists.txt").read_text(encoding="utf-8"))
setup(version=version.group(1),
      ext_modules=[Extension("mistwright._core", sources=[])],
      cmdclass={"build_ext": BuildWithCMake})
