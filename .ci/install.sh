# Sourced by tests/run.sh and editor/start.sh: installs what is missing, with Debian's packages alone.
# Does nothing, and needs no network, once everything is there.

build_packages="g++ cmake ninja-build ccache pkg-config
libocct-foundation-dev libocct-modeling-data-dev libocct-modeling-algorithms-dev libocct-data-exchange-dev
libocct-ocaf-dev libeigen3-dev libtbb-dev libcgal-dev libboost-dev libnanoflann-dev
lib3mf-dev libpolyclipping-dev zlib1g-dev libssl-dev nlohmann-json3-dev libexpat1-dev libcli11-dev libcairo2-dev
libsuitesparse-dev libopenblas0-serial
libpng-dev libturbojpeg0-dev libexif-dev libimgui-dev libglfw3-dev libgl-dev libegl-dev libgl1-mesa-dri libegl1
fonts-inter fonts-dejavu-core"

test_packages="catch2 locales gmsh prusa-slicer python3-ezdxf calculix-ccx qpdf poppler-utils clang-format xvfb xdotool
linuxcnc-uspace r-cran-psych chromium chromium-driver python3-selenium"

bench_packages="libopenvdb-dev"
fuzz_packages="clang-14 libclang-rt-14-dev"

# install_missing PACKAGES: asks dpkg-query first; apt-get only for what is not there.
install_missing() {
    local missing="" package
    for package in "$@"; do
        [ "$(dpkg-query -W -f='${Status}' "$package" 2>/dev/null)" = "install ok installed" ] ||
            missing="$missing $package"
    done
    [ -z "$missing" ] && return 0
    local run=""
    if [ "$(id -u)" != 0 ]; then
        if command -v sudo >/dev/null 2>&1 && sudo -n true </dev/null 2>/dev/null; then
            run="sudo -n"
        else
            echo "These packages are missing. As root, run this line and try again:" >&2
            echo "  apt-get update && apt-get install -y --no-install-recommends$missing" >&2
            exit 2
        fi
    fi
    echo "Installing:$missing"
    # DEBIAN_FRONTEND is set inside sudo, which drops the environment
    $run env DEBIAN_FRONTEND=noninteractive apt-get update -qq </dev/null &&
        $run env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing \
            </dev/null >/dev/null || {
        echo "apt-get could not install:$missing" >&2
        exit 2
    }
}

# build PRESET TARGET...: configures (ARCHWRIGHT_TESTS=OFF and ARCHWRIGHT_BENCH=ON in the environment change what) and builds; the compiler's cache lives in the build folder.
build() {
    local preset=$1
    shift
    export CCACHE_DIR="${CCACHE_DIR:-$PWD/build/ccache}"
    mkdir -p build
    if ! cmake --preset "$preset" -DARCHWRIGHT_TESTS="${ARCHWRIGHT_TESTS:-ON}" \
        -DARCHWRIGHT_BENCH="${ARCHWRIGHT_BENCH:-OFF}" >build/configure.log 2>&1; then
        cat build/configure.log >&2
        return 1
    fi
    cmake --build "build/$preset" --parallel "$(nproc)" --target "$@"
}
