# Everything is written below build/. `make` builds build/tiptail; `make test` is the quick check.
# Variables worth setting: TESTS="arena json" (only these), TEST="*pattern*" (cmocka tests by name),
# SECONDS_FUZZ, CC, CLANG, Q= (show the commands), LTO=-flto=auto (gcc optimises the release build as
# a whole, as the image has it: a tenth less time a request, half a minute more at each link).

, := ,
CC = gcc
CLANG = clang
Q = @
LIBRARIES = libmicrohttpd libcjson libpcre2-8
# The filter of system calls needs libseccomp. Without it the service is as good and less confined,
# so that it can be built where that library is not.
SECCOMP := $(shell pkg-config --exists libseccomp 2>/dev/null && echo libseccomp)
SECONDS_FUZZ = 60

ifeq ($(MAKELEVEL)$(findstring -j,$(MAKEFLAGS)),0)
MAKEFLAGS += -j$(shell nproc 2>/dev/null || echo 2)
endif
MAKEFLAGS += --no-builtin-rules --no-print-directory
.DELETE_ON_ERROR:
.SECONDARY:

SOURCES := $(sort $(wildcard src/*/*.c))
HEADERS := $(sort $(wildcard src/*/*.h))
DOCUMENTS := $(sort $(wildcard api/*.json))
TEST_SOURCES := $(sort $(wildcard tests/test_*.c))
TEST_SHARED := $(filter-out $(TEST_SOURCES),$(sort $(wildcard tests/*.c)))
ORACLES := $(sort $(wildcard tests/oracle/*.c tests/sim/*.c))
TEST_HEADERS := $(sort $(wildcard tests/*.h))
FUZZERS := $(sort $(wildcard tests/fuzz/fuzz_*.c))
FORMATTED := src/main.c $(SOURCES) $(HEADERS) $(TEST_SOURCES) $(TEST_SHARED) $(TEST_HEADERS) \
	$(sort $(wildcard tests/*/*.c tests/*/*.h))

WARNINGS = -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wsign-conversion -Wdouble-promotion \
	-Wformat=2 -Wstrict-prototypes -Wmissing-prototypes -Wcast-qual -Wvla -Wundef -Wnull-dereference
COMMON = -std=c17 -D_POSIX_C_SOURCE=200809L $(WARNINGS) -ffp-contract=off -pthread -Isrc -Itests \
	$$(pkg-config --cflags $(LIBRARIES) $(SECCOMP)) $(if $(SECCOMP),-DHAVE_LIBSECCOMP)
LINKED = -pthread $$(pkg-config --libs $(LIBRARIES) $(SECCOMP)) -lm
# General reference libraries that single tests compare with.
LIBS_dd = -lmpfr -lgmp
LIBS_field = -lgmp
LIBS_num = -lmpfr -lgmp
LIBS_unit = -ludunits2
LIBS_linear = -lgmp -lgsl -lgslcblas
LIBS_equilibrium_exact = -lgmp -lgsl -lgslcblas
# The allocation that is to fail is chosen by the test.
LIBS_allocation = -Wl,--wrap=malloc,--wrap=calloc,--wrap=realloc
# The orders in which loop, library and pool meet are chosen by the test.
LIBS_order = -Wl,--wrap=poll,--wrap=pool_put,--wrap=MHD_resume_connection,--wrap=worker_wake
LIBS_particle = -lgsl -lgslcblas
LIBS_truss_exact = -lgmp
SANITIZED = -O1 -g -fno-omit-frame-pointer -fsanitize=address,undefined -fno-sanitize-recover=all

build/tiptail: build/release/tiptail
	$(Q)cp $< $@.new && mv $@.new $@

# Each configuration: its folder below build/, its compiler, its flags.
define configuration
build/$(1)/%.o: %.c | build/libraries
	@mkdir -p $$(@D)
	@echo "$(1): $$<"
	$$(Q)$(2) $$(COMMON) $(3) $$(CFLAGS) -MMD -MP -c -o $$@ $$<
build/$(1)/libtiptail.a: $$(SOURCES:%.c=build/$(1)/%.o) build/$(1)/build/embedded.o
	@rm -f $$@
	$$(Q)ar rcs $$@ $$^
build/$(1)/src/server/sandbox.o: build/seccomp
build/$(1)/tiptail: build/$(1)/src/main.o build/$(1)/libtiptail.a
	$$(Q)$(2) $(3) $(4) $$(LDFLAGS) -o $$@ $$^ $$(LINKED)
build/$(1)/liboracle.a: $$(ORACLES:%.c=build/$(1)/%.o)
	@rm -f $$@
	$$(Q)ar rcs $$@ $$^
build/$(1)/test_%: build/$(1)/tests/test_%.o $$(TEST_SHARED:%.c=build/$(1)/%.o) build/$(1)/liboracle.a build/$(1)/libtiptail.a
	$$(Q)$(2) $(3) $(4) $$(LDFLAGS) -o $$@ $$^ -lcmocka $$(LIBS_$$*) $$(LINKED)
-include $$(wildcard build/$(1)/*/*.d build/$(1)/*/*/*.d)
endef
$(eval $(call configuration,release,$$(CC),-O3 -g $$(LTO) -fPIE -fstack-protector-strong -U_FORTIFY_SOURCE -D_FORTIFY_SOURCE=2,-pie -Wl$(,)-z$(,)relro$(,)-z$(,)now))
$(eval $(call configuration,asan,$$(CC),$$(SANITIZED)))
$(eval $(call configuration,tsan,$$(CC),-O1 -g -fsanitize=thread))
$(eval $(call configuration,coverage,$$(CC),-O0 -g --coverage))
$(eval $(call configuration,strict-gcc,$$(CC),-O2 -Werror))
$(eval $(call configuration,strict-clang,$$(CLANG),-O1 -Werror))
$(eval $(call configuration,mutate,$$(CC),-O1 -fPIC))
$(eval $(call configuration,fuzz,$$(CLANG),-O1 -g -fsanitize=address$(,)undefined$(,)fuzzer-no-link -fno-sanitize-recover=all))

build/fuzz/fuzz_%: build/fuzz/tests/fuzz/fuzz_%.o build/fuzz/libtiptail.a
	$(Q)$(CLANG) -g -fsanitize=address,undefined,fuzzer -o $@ $^ $(LINKED)

# The documents of api/, compiled in. The list of names is a prerequisite, so that a removed one goes.
build/embedded.c: $(DOCUMENTS) build/documents
	@mkdir -p build
	$(Q){ echo '#include "schema/schema.h"'; \
	for f in $(DOCUMENTS); do \
	  id=$$(basename $$f | tr -c 'a-z0-9\n' _); \
	  echo "static const unsigned char bytes_$$id[] = {"; \
	  od -An -v -tx1 $$f | sed 's/ \(..\)/0x\1,/g'; echo '0x00};'; \
	done; \
	echo 'const struct schema_document schema_documents[] = {'; \
	for f in $(DOCUMENTS); do \
	  id=$$(basename $$f | tr -c 'a-z0-9\n' _); \
	  echo "{\"$$(basename $$f)\", (const char *)bytes_$$id, sizeof bytes_$$id - 1},"; \
	done; \
	echo '{0}};'; } > $@
build/documents: FORCE
	@mkdir -p build
	@echo '$(DOCUMENTS)' | cmp -s - $@ || echo '$(DOCUMENTS)' > $@
build/seccomp: FORCE
	@mkdir -p build
	@echo '$(SECCOMP)' | cmp -s - $@ || echo '$(SECCOMP)' > $@

build/libraries:
	@mkdir -p build
	@pkg-config --exists $(LIBRARIES) 2>/dev/null || { \
	  echo "Libraries are missing. Run: make setup"; \
	  echo "or, as root:                apt-get install $$(awk '$$2 == "build" {print $$1}' deploy/packages.txt | tr '\n' ' ')"; \
	  exit 1; }
	@touch $@

# What is missing of deploy/packages.txt, by apt-get; for the tests also what is in tests/npm.
setup:
	$(Q)sh deploy/setup.sh

setup-long:
	$(Q)sh deploy/setup.sh build test deploy

serve: setup
	$(Q)$(MAKE) build/tiptail
	build/tiptail

# Tests: every program below speaks TAP; tests/run.sh prints a line for each and adds up.
selected = $(foreach f,$(1),$(if $(TESTS),$(if $(filter $(TESTS) $(TESTS:%=test_%) $(TESTS:%=full_%),\
	$(basename $(notdir $(f)))),$(f)),$(f)))
UNIT := $(call selected,$(TEST_SOURCES:tests/%.c=build/asan/%))
SCRIPTS := $(call selected,$(sort $(wildcard tests/*/test_*.sh tests/*/test_*.mjs)))
FULL_SCRIPTS := $(call selected,$(sort $(wildcard tests/*/full_*.sh tests/*/full_*.mjs)))
PROGRAMS := $(if $(strip $(SCRIPTS) $(FULL_SCRIPTS)),build/tiptail build/asan/tiptail)

test: setup
	$(Q)$(MAKE) check
check: $(UNIT) $(PROGRAMS)
	$(Q)sh tests/run.sh $(UNIT) $(SCRIPTS)
test-full: setup-long
	$(Q)$(MAKE) check-full
check-full: $(UNIT) $(PROGRAMS)
	$(Q)sh tests/run.sh $(UNIT) $(SCRIPTS) $(FULL_SCRIPTS)

test-long: setup-long
	$(Q)$(MAKE) check-long
check-long: $(PROGRAMS)
	$(Q)sh tests/run.sh $(FULL_SCRIPTS)

# Each header compiles alone; every source compiles without a warning with both compilers.
headers: $(HEADERS:%=build/headers/%)
build/headers/%.h: %.h | build/libraries
	@mkdir -p $(@D)
	$(Q)printf '#include "%s"\ntypedef int compiles_alone;\n' $(<:src/%=%) | \
	  $(CC) $(COMMON) -Werror -fsyntax-only -x c - && touch $@
both: $(foreach c,strict-gcc strict-clang,$(patsubst %.c,build/$(c)/%.o,src/main.c $(SOURCES) $(TEST_SOURCES) $(TEST_SHARED) $(ORACLES)) build/$(c)/build/embedded.o)
print-flags:
	@echo -std=c17 -D_POSIX_C_SOURCE=200809L $(WARNINGS)
format-check:
	$(Q)clang-format --dry-run -Werror $(FORMATTED)
lint:
	$(Q)sh tests/run.sh $(sort $(wildcard tests/lint/test_*.sh))

bench: build/tiptail
	$(Q)sh deploy/setup.sh build test bench
	$(Q)for script in $(sort $(wildcard tests/bench/bench_*.sh)); do sh $$script || exit 1; done
fuzz:
	$(Q)sh deploy/setup.sh build test fuzz
	$(Q)$(MAKE) fuzz-run
fuzz-run: $(FUZZERS:tests/fuzz/%.c=build/fuzz/%)
	$(Q)SECONDS_FUZZ=$(SECONDS_FUZZ) sh tests/fuzz/run.sh $^
# Ten minutes of good, bad and hostile clients under the address sanitizer.
soak: build/asan/tiptail
	$(Q)SOAK_SECONDS=$${SOAK_SECONDS:-600} sh tests/run.sh tests/wire/full_soak.mjs
# One-token changes of src/statics: all of them, or MUTANTS=n of them drawn by SEED=s.
mutants: setup
	$(Q)node tests/mutate/mutate.mjs
# Honest hand-rounded answers against the allowances: the long runs of tests/test_sim.c,
# tests/test_cables_sim.c and tests/test_trusses_sim.c.
sim: build/release/test_sim build/release/test_cables_sim build/release/test_trusses_sim
	$(Q)for test in $^; do SIM_ANSWERS=$${SIM_ANSWERS:-1000000} $$test || exit 1; done
coverage: $(TEST_SOURCES:tests/%.c=build/coverage/%)
	$(Q)sh tests/coverage.sh $^

clean:
	rm -rf build

FORCE:
.PHONY: setup setup-long serve test check test-full check-full test-long check-long headers both print-flags format-check lint bench fuzz fuzz-run soak mutants sim coverage clean FORCE
