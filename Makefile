# heelcut: a language for propagation protocols, and the program that checks plans written in it.
#
#   make             the program, build/heelcut         make check       every test; ends with "N passed, N failed"
#   make demo        a day at an invented nursery       make test-quick  unit tests, cases, rules of the plain build
#   make install     program and manual page            make fuzz        a minute of fuzzing for each door
#   make setup       the tools that the tests need      make bench       times and memory beside simpler programs
#   make format      clang-format over all C            make clean       removes build/
#
# Everything that is made goes to BUILD. Its last word chooses the kind of build: build/asan has the address,
# undefined-behaviour and leak sanitizers, build/clang the other compiler, build/fuzz what libFuzzer needs; any other
# folder gets the program as it is installed. WERROR=1, set by the tests, turns warnings into errors; V=1 shows the commands.

BUILD  ?= build
DEMO   ?= docs/demo
PREFIX ?= /usr/local
KIND   := $(notdir $(BUILD))
GEN    := $(BUILD)/gen
ifeq ($(origin CC),default)
CC := gcc
endif
Q := $(if $(V),,@)
SAY = @echo "  $(1) $(2)"
export PYTHONDONTWRITEBYTECODE := 1

# ---------------------------------------------------------------- flags

WARNINGS := -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Wstrict-prototypes -Wmissing-prototypes -Wformat=2 \
            -Wimplicit-fallthrough -Wundef -Wwrite-strings -Wcast-qual -Wvla $(if $(WERROR),-Werror)
HARDENED := -O2 -g -U_FORTIFY_SOURCE -D_FORTIFY_SOURCE=3 -fstack-protector-strong -fPIE
# Packed: tables point at much, and a start reads every place that has to be moved.
LINKED   := -pie -Wl,-z,relro,-z,now,-z,noexecstack,-z,pack-relative-relocs,--as-needed
# What one of the two compilers, or an older one, does not know: each is tried once and left out where it is refused.
PROBE    := -Wduplicated-cond -Walloca -Wtrampolines -Wdate-time -Wbidi-chars=any \
            -fstack-clash-protection -fcf-protection=full -fno-strict-overflow -ffile-prefix-map=$(CURDIR)=.

ifeq ($(KIND),asan)
HARDENED := -O1 -g -fno-omit-frame-pointer -fsanitize=address,undefined -fno-sanitize-recover=all
# Static, as gcc's two dynamic ones do not share the log file that the tests read.
LINKED   := -fsanitize=address,undefined -static-libasan -static-libubsan
PROBE    += -fsanitize=float-cast-overflow -fsanitize=float-divide-by-zero
else ifeq ($(KIND),clang)
CC := clang
else ifeq ($(KIND),fuzz)
CC := clang
HARDENED := -O1 -g -fno-omit-frame-pointer -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all
LINKED   := -fsanitize=address,undefined
endif

# flex writes a function that our own way of ending replaces; nothing else in generated code needs to be excused.
$(BUILD)/obj/gen/scan.o: WARNINGS += -Wno-unused-function
# The parser's stack lies on the program's own and is no deeper than the limits of the language; looking after it would touch
# all of it at each reading, and a text needs a twentieth.
$(BUILD)/obj/gen/parse.o: UNPROBED := -fstack-clash-protection

COMPILE = $(CC) -std=c11 -D_XOPEN_SOURCE=700 -Isrc -Igrammar -I$(GEN) $(HARDENED) $(WARNINGS) \
          $(filter-out $(UNPROBED),$(PROBED)) $(CPPFLAGS) $(CFLAGS) -MMD -MP
# The statistics library is put in, as loading it would cost every start some of the time that a whole check takes.
GSL     := -Wl,-Bstatic -lgsl -lgslcblas -Wl,-Bdynamic
LINK    = $(LINKED) $(LDFLAGS) $(BUILD)/libheelcut.a $(GSL) -lm $(LDLIBS)

# ---------------------------------------------------------------- what there is

GRAMMAR   := $(GEN)/scan.c $(GEN)/parse.c
SOURCES   := $(filter-out src/cmd/main.c,$(wildcard src/*/*.c))
READER    := $(patsubst src/%.c,$(BUILD)/obj/%.o,$(wildcard src/base/*.c src/syntax/*.c src/model/*.c)) \
             $(GRAMMAR:$(GEN)/%.c=$(BUILD)/obj/gen/%.o)
OBJECTS   := $(sort $(SOURCES:src/%.c=$(BUILD)/obj/%.o) $(READER)) $(BUILD)/obj/gen/builtin_rules.o \
             $(BUILD)/obj/gen/start_files.o $(BUILD)/obj/gen/catalogues.o
RULES     := $(sort $(wildcard protocols/rules/*.heel protocols/words/*.heel))
CATALOGUES := $(sort $(wildcard protocols/words/*.po))
START     := $(sort $(wildcard protocols/start/*.heel protocols/start/*/*.heel))
UNITS     := $(patsubst tests/%.c,$(BUILD)/%,$(wildcard tests/unit/*_test.c))
FUZZERS   := $(patsubst tests/fuzz/%.c,$(BUILD)/%,$(wildcard tests/fuzz/fuzz_*.c))
TORTURE   := $(patsubst tests/torture/%.c,$(BUILD)/%.so,$(wildcard tests/torture/*.c))

.PHONY: all units fuzzers torture check test-quick update-cases demo bench fuzz format install setup clean
.DELETE_ON_ERROR:

all: $(BUILD)/heelcut
units: $(UNITS)
fuzzers: $(FUZZERS)
torture: $(TORTURE)

$(BUILD)/heelcut: $(BUILD)/obj/cmd/main.o $(BUILD)/libheelcut.a
	$(call SAY,link,$@)
	$(Q)$(CC) $(HARDENED) $(PROBED) $(CFLAGS) -o $@ $< $(LINK)

$(BUILD)/libheelcut.a: $(OBJECTS)
	@rm -f $@
	$(call SAY,archive,$@)
	$(Q)ar -crsD $@ $^

$(BUILD)/obj/%.o: src/%.c Makefile | $(GRAMMAR)
	@mkdir -p $(@D)
	$(call SAY,compile,$<)
	$(Q)$(COMPILE) -c -o $@ $<

$(BUILD)/obj/gen/%.o: $(GEN)/%.c Makefile | $(GRAMMAR)
	@mkdir -p $(@D)
	$(call SAY,compile,$<)
	$(Q)$(COMPILE) -c -o $@ $<

# ---------------------------------------------------------------- generated sources

$(GEN)/scan.c $(GEN)/scan.h &: grammar/scan.l
	@mkdir -p $(GEN)
	$(call SAY,flex,$<)
	$(Q)flex -Cf --header-file=$(GEN)/scan.h -o $(GEN)/scan.c $<

$(GEN)/parse.c $(GEN)/parse.h &: grammar/parse.y
	@mkdir -p $(GEN)
	$(call SAY,bison,$<)
	$(Q)bison -Wall -Wcounterexamples -Wdangling-alias -Werror --header=$(GEN)/parse.h -o $(GEN)/parse.c $<

# Reads the rules with the program's own reader, so it is made first. What is built for another machine takes one that was
# built for this: EMBED=build/embed.
EMBED ?= $(BUILD)/embed
$(BUILD)/embed: protocols/embed.c $(READER)
	$(call SAY,link,$@)
	$(Q)$(COMPILE) -MF $@.d -MT $@ -o $@ $< $(READER) $(LINKED) $(LDFLAGS) -lm $(LDLIBS)

# The folders are named too, so that a file taken away is noticed.
$(GEN)/builtin_rules.c: $(EMBED) $(RULES) $(wildcard protocols/rules protocols/words)
	$(call SAY,embed,protocols/rules protocols/words)
	$(Q)$(EMBED) $(RULES) > $@

$(GEN)/start_files.c: protocols/embed_start.sh $(START)
	@mkdir -p $(GEN)
	$(call SAY,embed,protocols/start)
	$(Q)sh protocols/embed_start.sh $(START) > $@

$(GEN)/catalogues.c: protocols/embed_words.sh $(CATALOGUES) $(wildcard protocols/words)
	@mkdir -p $(GEN)
	$(call SAY,msgfmt,protocols/words)
	$(Q)sh protocols/embed_words.sh $(CATALOGUES) > $@

# ---------------------------------------------------------------- tests

$(BUILD)/unit/%: tests/unit/%.c $(BUILD)/libheelcut.a Makefile
	@mkdir -p $(@D)
	$(call SAY,compile,$<)
	$(Q)$(COMPILE) -MF $@.d -MT $@ -o $@ $< $(LINK) -lcmocka

$(BUILD)/fuzz_%: tests/fuzz/fuzz_%.c $(BUILD)/libheelcut.a Makefile
	$(call SAY,compile,$<)
	$(Q)$(COMPILE) -MF $@.d -MT $@ -fsanitize=fuzzer -o $@ $< $(LINK)

$(BUILD)/fail_%.so: tests/torture/fail_%.c Makefile
	@mkdir -p $(@D)
	$(call SAY,compile,$<)
	$(Q)$(CC) -std=c11 -D_GNU_SOURCE -O2 $(WARNINGS) -shared -fPIC -o $@ $<

check:
	@sh tests/setup.sh check
	@DEMO=$(DEMO) sh tests/run.sh

test-quick:
	@DEMO=$(DEMO) sh tests/run.sh quick

update-cases: all
	python3 tests/cases.py --heelcut $(BUILD)/heelcut --update

fuzz:
	@sh tests/setup.sh check
	@$(MAKE) --no-print-directory BUILD=build/fuzz fuzzers
	sh tests/fuzz/run.sh build/fuzz 60

bench: all
	python3 tests/bench/run.py $(BUILD)
	python3 tests/bench/files.py $(BUILD)
	python3 tests/bench/diff.py $(BUILD)
	python3 tests/bench/records.py $(BUILD)
	python3 tests/bench/yields.py $(BUILD)

# The invented nursery on one day of its season. Its plan has faults to show, so 1, "there are findings", is the right answer of check;
# the full text of what is cut short here lies in $(BUILD)/demo.
DEMO_DAY := --today "1 Aug 2027"
demo:
	@sh tests/setup.sh build
	@$(MAKE) --no-print-directory all
	@mkdir -p $(BUILD)/demo
	$(BUILD)/heelcut check $(DEMO_DAY) $(DEMO) > $(BUILD)/demo/check.txt || test $$? -eq 1
	@grep -E ': (error|warning|note): |checks:' $(BUILD)/demo/check.txt; echo
	@sed -n '/\[no-licence\]/,/^$$/p' $(BUILD)/demo/check.txt
	$(BUILD)/heelcut tasks $(DEMO_DAY) --from "2 Aug 2027" --to "2 Aug 2027" --place tent-lane $(DEMO)
	@echo
	$(BUILD)/heelcut status $(DEMO_DAY) $(DEMO) > $(BUILD)/demo/status.txt
	@head -n 11 $(BUILD)/demo/status.txt; echo
	$(BUILD)/heelcut load $(DEMO_DAY) --from "1 Jan 2027" --format svg --output $(BUILD)/demo/load.svg $(DEMO)
	$(BUILD)/heelcut tasks $(DEMO_DAY) --from "2 Aug 2027" --to "8 Aug 2027" --output $(BUILD)/demo/week.txt $(DEMO)
	@echo; echo "In $(BUILD)/demo: check.txt, status.txt, the week's sheets (week.txt), how full the places are (load.svg)"

# ---------------------------------------------------------------- the rest

$(BUILD)/heelcut.1: $(BUILD)/heelcut
	$< --man > $@

install: all $(BUILD)/heelcut.1
	install -D -m 755 $(BUILD)/heelcut $(DESTDIR)$(PREFIX)/bin/heelcut
	install -D -m 644 $(BUILD)/heelcut.1 $(DESTDIR)$(PREFIX)/share/man/man1/heelcut.1

format:
	clang-format -i src/*/*.[ch] protocols/*.c tests/*/*.c

setup:
	@sh tests/setup.sh check

clean:
	rm -rf build

# Made before anything is compiled, so this is also the place to say which tools are missing.
PROBED_FILE := $(BUILD)/flags-$(notdir $(CC)).mk
$(PROBED_FILE): Makefile
	@sh tests/setup.sh build --tell
	@mkdir -p $(@D)
	@{ printf 'PROBED :='; for flag in $(PROBE); do \
	    $(CC) -Wall -Werror -O2 $$flag -x c -c -o /dev/null /dev/null 2>/dev/null && printf ' %s' "$$flag"; \
	    done; echo; } > $@

ifneq ($(filter-out check demo test-quick fuzz setup format clean,$(or $(MAKECMDGOALS),all)),)
include $(PROBED_FILE)
endif
-include $(OBJECTS:.o=.d) $(BUILD)/obj/cmd/main.d $(BUILD)/embed.d $(addsuffix .d,$(UNITS) $(FUZZERS))
