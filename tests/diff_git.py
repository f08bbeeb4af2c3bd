"""Revisions of a git repository, and heelcut as git's external diff: both on repositories made here.

    tests/diff_git.py [--heelcut PROGRAM]
"""

import argparse
import os
import re

from harness import Scratch, report, run_all

CARD = """protocol tips "Softwood tips" {
  for    Deutzia
  stick  { depth 10 .. 30 mm }
  stage root { lasts 4 weeks; task look { say "Roots?"; every 1 week } }
}
"""
HOUSE = "place bench { enclosure mist }\n"
PLAN = "batch,follow,plant,stick,count\nB1,tips,Deutzia,2027-06-14,300\n"
NURSERY = 'nursery lane { language 1; use "house", "cards/tips.heel", "plan.csv" }\n'


class Repository:
    """A repository in a scratch folder, and commands run in it."""

    def __init__(self, heelcut):
        self.scratch = Scratch(heelcut)
        self.sh("git init -q -b main . && git config user.name Tester && git config user.email tester@example.org")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.scratch.__exit__()

    def write(self, path, text):
        path = os.path.join(self.scratch.folder, path)
        os.makedirs(os.path.dirname(path), exist_ok=True)
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)

    def run(self, command):
        more = {"GIT_CONFIG_GLOBAL": "/dev/null", "GIT_CONFIG_SYSTEM": "/dev/null", "GIT_PAGER": "cat",
                "GIT_AUTHOR_DATE": "2027-01-01T00:00:00Z", "GIT_COMMITTER_DATE": "2027-01-01T00:00:00Z"}
        result = self.scratch.run(command, more=more)
        if result.sanitizer:
            raise AssertionError(result.sanitizer)
        return result.status, result.stdout.decode()

    def sh(self, command):
        status, output = self.run(command)
        assert status == 0, f"{command}: {status}\n{output}"
        return output

    def commit(self, message="step"):
        self.sh(f"git add -A && git commit -q -m {message}")

    def expect(self, command, status, *parts, without=()):
        got, output = self.run(command)
        assert got == status, f"{command}: status {got} instead of {status}\n{output}"
        for part in parts:
            assert part in output, f"{command}: '{part}' is missing\n{output}"
        for part in without:
            assert part not in output, f"{command}: '{part}' is told\n{output}"


def a_season(repository, folder=""):
    """Two revisions of a nursery that uses a folder, a file and a table; the second narrows a limit and adds a batch."""
    for path, text in (("nursery.heel", NURSERY), ("house/place.heel", HOUSE), ("cards/tips.heel", CARD), ("plan.csv", PLAN)):
        repository.write(folder + path, text)
    repository.write(folder + "cards/unused.heel", "protocol unused { for Kerria }\n")
    os.symlink("tips.heel", os.path.join(repository.scratch.folder, folder, "cards/link.heel"))
    os.symlink("../cards/unused.heel", os.path.join(repository.scratch.folder, folder, "house/link.heel"))
    repository.commit("first")
    repository.sh("git tag season-2027")
    repository.write(folder + "cards/tips.heel", CARD.replace("10 .. 30", "12 .. 25"))
    repository.write(folder + "plan.csv", PLAN + "B2,tips,Deutzia,2027-06-21,200\n")
    repository.commit("second")


NARROWER, ROW = "depth 10 .. 30 mm -> 12 .. 25 mm (narrower)", "batch B2"


# ---------------------------------------------------------------- revisions


def revisions(repository):
    a_season(repository)
    for words in ("HEAD~1 HEAD", "season-2027 HEAD", "HEAD~1", "--since season-2027", "--since HEAD~1 .", "HEAD~1 .", "HEAD~1 HEAD ."):
        repository.expect(f"heelcut diff {words}", 1, NARROWER, ROW, without=("unused", "link"))
    repository.expect("heelcut diff HEAD HEAD~1", 1, "depth 12 .. 25 mm -> 10 .. 30 mm (wider)")
    repository.expect("heelcut diff HEAD", 0, "Nothing is different.")
    repository.expect("heelcut diff --since HEAD~1 --format json", 1, '"file": "HEAD~1:cards/tips.heel"', '"file": "cards/tips.heel"')


def what_lies_uncommitted(repository):
    a_season(repository)
    repository.write("cards/tips.heel", CARD.replace("10 .. 30", "12 .. 20"))
    repository.expect("heelcut diff --since HEAD", 1, "12 .. 25 mm -> 12 .. 20 mm")
    repository.expect("heelcut diff HEAD~1 HEAD", 1, NARROWER)


def a_folder_in_the_repository(repository):
    repository.write("readme.heel", "protocol elsewhere { for Kerria }\n")
    a_season(repository, "sites/north/")
    for words in ("HEAD~1 HEAD sites/north", "--since HEAD~1 sites/north"):
        repository.expect(f"heelcut diff {words}", 1, NARROWER, ROW, without=("elsewhere",))
    repository.expect("cd sites/north && heelcut diff HEAD~1 HEAD", 1, NARROWER, ROW)
    repository.expect("cd sites && heelcut diff HEAD~1 HEAD north/", 1, NARROWER)
    repository.expect("mkdir new && heelcut diff HEAD~1 HEAD new", 2, "there was no folder new")
    repository.expect("heelcut diff HEAD~1 HEAD nowhere", 2)


def a_word_that_is_both(repository):
    a_season(repository)
    repository.sh("git branch house")
    repository.write("house/place.heel", HOUSE.replace("mist", "fog"))
    # What lies there is meant before what the repository calls so; `refs/heads/…` says the other.
    repository.expect("heelcut diff house house", 0, "Nothing is different.")
    repository.expect("heelcut diff --since refs/heads/house", 1, "enclosure mist -> fog")


def no_such(repository):
    a_season(repository)
    repository.expect("heelcut diff HEAD~9", 2, "HEAD~9 is neither a file nor a revision", without=("->",))
    repository.expect("heelcut diff --since no-tag", 2, "no-tag is neither")
    repository.expect("heelcut diff HEAD^{tree} HEAD", 0, "Nothing is different.")
    repository.expect("heelcut diff HEAD:plan.csv HEAD", 2, "HEAD:plan.csv")
    repository.expect("cd / && heelcut diff HEAD~1", 2)


def a_used_file_that_was_not_there(repository):
    a_season(repository)
    repository.sh("git rm -q house/place.heel house/link.heel && git commit -q -m gone && rm -rf house")
    repository.expect("heelcut diff HEAD~1 HEAD", 2, "house is not in the revision", without=("->",))
    repository.write("nursery.heel", 'nursery lane { language 1; use "../outside.heel" }\n')
    repository.commit()
    repository.expect("heelcut diff HEAD~2 HEAD", 2, "outside.heel")


def a_revision_that_cannot_be_read(repository):
    a_season(repository)
    repository.write("cards/tips.heel", CARD.replace("10 .. 30", "10 - 30"))
    repository.commit("broken")
    repository.write("cards/tips.heel", CARD)
    repository.expect("heelcut diff --since HEAD", 2, "HEAD:cards/tips.heel:3:18: error: a range is written with two points")


def shuffled(repository):
    a_season(repository)
    repository.sh("git rm -q --cached cards/tips.heel house/place.heel && rm -r cards house")
    card = CARD.replace("10 .. 30 mm", "12 .. 25 mm")
    repository.write("nursery.heel", 'nursery lane { use "all.heel", "plan.csv"; language 1 }\n')
    repository.write("all.heel", HOUSE + card.replace('  for    Deutzia\n', "").replace("  stage root", "  for Deutzia\n  stage root"))
    repository.write("plan.csv", "count,batch,stick,follow,plant\n200,B2,21 Jun 2027,tips,Deutzia\n300,B1,14 Jun 2027,tips,Deutzia\n")
    repository.expect("heelcut diff --all --since HEAD", 1, "use ", "0 of 1 protocol differs: 1 editorial")


def executable_files_and_hidden_ones(repository):
    repository.write("card.heel", CARD)
    repository.write(".hidden.heel", "protocol hidden { for Kerria }\n")
    repository.sh("chmod +x card.heel")
    repository.commit()
    repository.write("card.heel", CARD.replace("4 weeks", "5 weeks"))
    repository.expect("heelcut diff --since HEAD", 1, "lasts 4 weeks -> 5 weeks", without=("hidden",))


# ---------------------------------------------------------------- git's own diff


def with_driver(repository):
    repository.write(".gitattributes", "*.heel diff=heelcut\n")
    repository.sh("git config diff.heelcut.command 'heelcut diff'")
    a_season(repository)


def driver(repository):
    with_driver(repository)
    repository.expect("git diff HEAD~1", 0, "cards/tips.heel -> cards/tips.heel", NARROWER, "+B2,tips")
    repository.expect("git diff", 0, without=("->",))
    repository.write("cards/tips.heel", CARD.replace("10 .. 30", "12 .. 20"))
    repository.expect("git diff", 0, "12 .. 25 mm -> 12 .. 20 mm (narrower)")
    repository.expect("git log -p --ext-diff -1", 0, NARROWER)
    repository.expect("git diff --no-ext-diff", 0, "-  stick  { depth 12 .. 25 mm }")


def driver_new_and_deleted(repository):
    with_driver(repository)
    repository.write("cards/buds.heel", 'protocol buds "Leaf buds" { for Clematis }\n')
    repository.sh("git add cards/buds.heel")
    repository.expect("git diff --cached", 0, 'new, "Leaf buds"')
    repository.commit()
    repository.sh("git rm -q cards/buds.heel")
    repository.expect("git diff --cached", 0, 'gone, "Leaf buds"')
    repository.write("empty.heel", "")
    repository.sh("git add empty.heel")
    repository.expect("git diff --cached -- empty.heel", 0, "-> ")


def driver_renamed(repository):
    with_driver(repository)
    repository.sh("git mv cards/tips.heel cards/soft.heel")
    repository.write("cards/soft.heel", CARD.replace("10 .. 30", "12 .. 20"))
    repository.sh("git add -A")
    # git gives nine arguments then: the new name, and what a person would read, are the last two.
    repository.expect("git diff -M10 --cached", 0, "cards/tips.heel -> cards/soft.heel", "12 .. 25 mm -> 12 .. 20 mm")


def driver_mode_only(repository):
    with_driver(repository)
    repository.sh("chmod +x cards/tips.heel")
    repository.expect("git diff", 0, "Nothing is different.")


def driver_unreadable(repository):
    """A file in the middle of an edit must not stop git before the next file."""
    with_driver(repository)
    repository.write("cards/tips.heel", CARD.replace("10 .. 30", "10 - 30"))
    repository.write("house/place.heel", HOUSE.replace("mist", "fog"))
    repository.expect("git diff", 0, "a range is written with two points", "cannot be read as it is, so nothing is compared",
                      "enclosure mist -> fog")
    repository.write("cards/tips.heel", CARD + "protocoll x { for Kerria }\n")
    repository.expect("git diff", 0, "the language knows no 'protocoll'", "Left out", "enclosure mist -> fog")


def driver_layout_only(repository):
    with_driver(repository)
    repository.write("house/place.heel", "# the bench\n" + HOUSE.replace("  ", " "))
    repository.expect("git diff", 0, "Only spelling or layout differs: everything means the same.")


TESTS = [revisions, what_lies_uncommitted, a_folder_in_the_repository, a_word_that_is_both, no_such,
         a_used_file_that_was_not_there, a_revision_that_cannot_be_read, shuffled, executable_files_and_hidden_ones, driver,
         driver_new_and_deleted, driver_renamed, driver_mode_only, driver_unreadable, driver_layout_only]


def judge(heelcut, test):
    with Repository(heelcut) as repository:
        try:
            test(repository)
        except AssertionError as fault:
            return str(fault)
    return ""


def main():
    options = argparse.ArgumentParser(description="Revisions, and git's external diff.")
    options.add_argument("--heelcut", default="build/heelcut")
    chosen = options.parse_args()
    report(run_all(TESTS, lambda test: judge(chosen.heelcut, test), lambda test: "git: " + re.sub("_", " ", test.__name__)))


main()
