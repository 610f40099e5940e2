# What is handed to others: install, the shared library, the Debian packages.

DATE := 2026-11-25
SHARED := $(BUILD)/shared
SONAME := libserveplumb.so.0
SHARED_LIBRARY := $(SHARED)/libserveplumb.so.$(VERSION)
# The library holds everything but the two doors.
SHARED_SOURCES := $(filter-out src/window/% src/cli/%,$(SOURCES))
PUBLIC_HEADERS := $(filter-out %/window.h %/cli.h,$(wildcard include/serveplumb/*.h))
LIBDIR ?= lib
PAGES := $(BUILD)/package

$(SHARED)/%.o: src/%.c Makefile | $(SETUP)
	@mkdir -p $(@D)
	@echo "cc   $< (shared)"
	$(Q)$(CC) $(FLAGS) -fPIC -MMD -MP -c -o $@ $<
$(SHARED)/readout/checks_builtin.o: assets/checks.json

# What the public headers declare is to be seen from outside, and nothing else.
$(SHARED)/exports: $(PUBLIC_HEADERS) assets/package/package.mk
	@mkdir -p $(@D)
	@{ echo '{ global:'; sed -nE 's/^[a-z][^(]*[ *](sp_[a-z0-9_]+)\(.*/\1;/p; s/^extern.*[ *](sp_[a-z0-9_]+)[[;].*/\1;/p' $(PUBLIC_HEADERS) | sort -u; echo 'local: *; };'; } > $@

$(SHARED_LIBRARY): $(SHARED_SOURCES:src/%.c=$(SHARED)/%.o) $(SHARED)/exports
	@echo "link $@"
	$(Q)$(CC) -shared $(LDFLAGS) -Wl,-soname,$(SONAME) -Wl,--version-script,$(SHARED)/exports -Wl,-z,defs \
		-o $@ $(filter %.o,$^) $(LIBS)

library: $(SHARED_LIBRARY) ## the shared library libserveplumb

fill = sed -e 's|@VERSION@|$(VERSION)|g; s|@DATE@|$(DATE)|g; s|@PREFIX@|$(PREFIX)|g; s|@LIBDIR@|$(LIBDIR)|g'

$(PAGES)/serveplumb.1: assets/package/serveplumb.1.in assets/package/man.sh $(PROGRAM)
	@mkdir -p $(@D)
	@assets/package/man.sh $(PROGRAM) $(VERSION) $(DATE) < $< > $@
$(PAGES)/serveplumb-review.5: assets/review.schema.json assets/package/review_man.py
	@mkdir -p $(@D)
	@assets/package/review_man.py $< $(VERSION) $(DATE) > $@

install: install-program install-library ## program, library, pages and desktop files into $(DESTDIR)$(PREFIX)

SHARE = $(DESTDIR)$(PREFIX)/share
install-program: $(PROGRAM) $(PAGES)/serveplumb.1 $(PAGES)/serveplumb-review.5 $(DEMO)/serve-side.mp4
	install -D -m 755 $(PROGRAM) $(DESTDIR)$(PREFIX)/bin/serveplumb
	install -D -m 644 -t $(SHARE)/serveplumb assets/review.schema.json assets/checks.schema.json
	install -D -m 644 $(DEMO)/serve-side.mp4 $(SHARE)/serveplumb/demo.mp4
	install -D -m 644 -t $(SHARE)/doc/serveplumb README.md
	install -D -m 644 -t $(SHARE)/man/man1 $(PAGES)/serveplumb.1
	install -D -m 644 -t $(SHARE)/man/man5 $(PAGES)/serveplumb-review.5
	install -D -m 644 -t $(SHARE)/applications assets/package/serveplumb.desktop
	install -D -m 644 assets/package/serveplumb-mime.xml $(SHARE)/mime/packages/serveplumb.xml
	install -D -m 644 -t $(SHARE)/icons/hicolor/scalable/apps assets/package/serveplumb.svg
	install -D -m 644 assets/package/completion.bash $(SHARE)/bash-completion/completions/serveplumb
	install -d $(SHARE)/metainfo
	$(fill) assets/package/serveplumb.metainfo.xml.in > $(SHARE)/metainfo/serveplumb.metainfo.xml

install-library: $(SHARED_LIBRARY)
	install -D -m 644 -t $(DESTDIR)$(PREFIX)/$(LIBDIR) $(SHARED_LIBRARY)
	ln -sf $(notdir $(SHARED_LIBRARY)) $(DESTDIR)$(PREFIX)/$(LIBDIR)/$(SONAME)
	ln -sf $(SONAME) $(DESTDIR)$(PREFIX)/$(LIBDIR)/libserveplumb.so
	install -D -m 644 -t $(DESTDIR)$(PREFIX)/include/serveplumb $(PUBLIC_HEADERS)
	install -d $(DESTDIR)$(PREFIX)/$(LIBDIR)/pkgconfig
	$(fill) assets/package/serveplumb.pc.in > $(DESTDIR)$(PREFIX)/$(LIBDIR)/pkgconfig/libserveplumb.pc

deb: $(PROGRAM) $(SHARED_LIBRARY) ## Debian packages of program, library and headers, in build/deb
	+@VERSION=$(VERSION) assets/package/deb.sh

.PHONY: library install install-program install-library deb
