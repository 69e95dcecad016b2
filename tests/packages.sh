# What has to be on a Debian 12 machine; read by src/run and tests/run.
build_packages='gcc libc6-dev pkg-config meson ninja-build libgtk-4-dev libgtk-4-bin libxml2-dev
  libtiff-dev libarchive-dev libproj-dev gettext shared-mime-info desktop-file-utils appstream
  yelp-tools adwaita-icon-theme fonts-cantarell'
test_packages='xvfb xauth dbus dbus-bin at-spi2-core python3 gsettings-desktop-schemas locales
  libxml2-utils nec2c poppler-utils man-db valgrind'
analysis_packages='clang-tidy cppcheck'
fuzz_packages='clang libclang-rt-14-dev'

# Asks for nothing where everything is there; otherwise installs as root, or through sudo.
install_packages ()
{
  missing=
  for package in "$@"; do
    dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q 'ok installed' \
      || missing="$missing $package"
  done
  [ -n "$missing" ] || return 0
  echo "installing:$missing" >&2
  sudo=
  [ "$(id -u)" -eq 0 ] || sudo=sudo
  $sudo apt-get update -q >&2
  DEBIAN_FRONTEND=noninteractive $sudo apt-get install -q -y --no-install-recommends $missing >&2
}
