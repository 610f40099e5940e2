#!/bin/sh
# The Debian packages: `make install` into three trees, then dpkg-deb. Run by `make deb`.
set -eu
out=$PWD/build/deb
arch=$(dpkg --print-architecture)
triplet=$(dpkg-architecture -qDEB_HOST_MULTIARCH)
here=assets/package
rm -rf "$out"
mkdir -p "$out/debian"

all=$out/all
make --no-print-directory install DESTDIR="$all" PREFIX=/usr LIBDIR="lib/$triplet" >"$out/install.log"

# tree PACKAGE: an empty tree with what Debian wants in each.
tree() {
    mkdir -p "$out/$1/usr/share/doc/$1" "$out/$1/DEBIAN"
    install -m 644 "$here/copyright" "$out/$1/usr/share/doc/$1/copyright"
    sed "s/@VERSION@/$VERSION/g" "$here/changelog.in" | gzip -9n >"$out/$1/usr/share/doc/$1/changelog.Debian.gz"
}
# move PACKAGE PATH...: what belongs to it.
move() {
    package=$1
    shift
    for path in "$@"; do
        mkdir -p "$out/$package/$(dirname "$path")"
        mv "$all/$path" "$out/$package/$path"
    done
}
lib=usr/lib/$triplet
for package in libserveplumb-dev libserveplumb0 serveplumb; do tree $package; done
move libserveplumb-dev usr/include $lib/pkgconfig $lib/libserveplumb.so
move libserveplumb0 $lib
rmdir "$all/usr/lib"
cp -a "$all/usr" "$out/serveplumb/"
gzip -9n "$out"/serveplumb/usr/share/man/man?/*
strip --strip-unneeded -R .comment -R .note "$out/serveplumb/usr/bin/serveplumb" "$out/libserveplumb0/$lib/"lib*.so.*.*

printf 'Source: serveplumb\nMaintainer: Serveplumb maintainers <maintainers@serveplumb.invalid>\n' >"$out/debian/control"
depends() { (cd "$out" && dpkg-shlibdeps -O -l"libserveplumb0/$lib" -e"$1") | sed 's/^shlibs:Depends=//'; }
# control PACKAGE SECTION DEPENDS: name, size and needs before the words of the package.
control() {
    {
        printf 'Package: %s\nSource: serveplumb\nVersion: %s-1\nArchitecture: %s\n' "$1" "$VERSION" "$arch"
        printf 'Maintainer: Serveplumb maintainers <maintainers@serveplumb.invalid>\nSection: %s\nPriority: optional\n' "$2"
        printf 'Installed-Size: %s\n%sDepends: %s\n' "$(du -sk "$out/$1/usr" | cut -f1)" "$4" "$3"
        sed -n "/^@$1\$/,/^@end\$/p" "$here/descriptions" | sed '/^@/d'
    } >"$out/$1/DEBIAN/control"
    (cd "$out/$1" && find usr -type f -print0 | sort -z | xargs -0 md5sum >DEBIAN/md5sums)
    dpkg-deb --root-owner-group --build "$out/$1" "$out/$1_$VERSION-1_$arch.deb" >/dev/null
    echo "build/deb/$1_$VERSION-1_$arch.deb"
}
echo "libserveplumb 0 libserveplumb0 (>= $VERSION)" >"$out/libserveplumb0/DEBIAN/shlibs"
echo 'activate-noawait ldconfig' >"$out/libserveplumb0/DEBIAN/triggers"
control serveplumb video "$(depends serveplumb/usr/bin/serveplumb), fonts-dejavu-core" ''
control libserveplumb0 libs "$(depends "libserveplumb0/$lib/libserveplumb.so.$VERSION"), fonts-dejavu-core" 'Multi-Arch: same
'
control libserveplumb-dev libdevel "libserveplumb0 (= $VERSION-1)" 'Multi-Arch: same
'
