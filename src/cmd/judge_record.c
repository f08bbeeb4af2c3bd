/* Judging lines that are to be recorded: see judge_record.h.
 *
 * There is no second judge: the batches that the entries are of are checked as `heelcut check` checks them,
 * once with the entries. What is found where the entries were typed is theirs. An error of such a batch that
 * is found elsewhere may have been there before; only then the nursery is read without the entries too, and
 * what is found the same way at the same place is not held against them.
 */
#include "cmd/judge_record.h"

#include "analysis/lint.h"
#include "analysis/record_check.h"
#include "base/vec.h"
#include "cmd/tables.h"

#include <stdlib.h>
#include <string.h>

/* ------------------------------------------------------------------ reading */

static void read_load(const Judged *judged, Load *load, const Entries *entries, bool again)
{
    static const char *const here[] = {"."};
    Arena *arena = arena_new(job_out_of_memory);
    Notes *notes = notes_new(arena, JOB_LISTED_NOTES);
    *load = (Load){.arena = arena, .notes = notes, .nursery = nursery_new(arena, notes)};
    load_begin(load);
    for (size_t i = 0; i < (judged->path_count ? judged->path_count : 1); i++)
        load_path(load, (judged->path_count ? judged->paths : here)[i]);
    if (entries) {
        nursery_add(load->nursery, entries_tree(arena, entries), false);
        nursery_gather(load->nursery);
        entries_settle(load->nursery, entries, again);
    }
    load_end(load);
}

void judged_read(Judged *judged, const Entries *entries, bool again)
{
    judged_free(judged);
    read_load(judged, &judged->load, entries, again);
}

void judged_free(Judged *judged)
{
    if (judged->load.arena) arena_free(judged->load.arena);
    judged->load = (Load){0};
}

/* ------------------------------------------------------------------ the batches */

/* A batch that entries are of, or speak of. */
typedef struct Wanted {
    Slice batch;
    const Entry *entry; /* the first that is of it, else that speaks of it */
    bool is_goal;       /* they only speak of it */
    bool found;
} Wanted;

typedef struct Search {
    Lint *lint;
    Wanted *wanted; /* in the order of their names */
    size_t count, found;
} Search;

static int by_batch(const void *a, const void *b)
{
    const Wanted *x = a, *y = b;
    int order = slice_compare(x->batch, y->batch);
    if (!order) order = x->is_goal - y->is_goal;
    return order ? order : x->entry->order < y->entry->order ? -1 : x->entry->order > y->entry->order;
}

/* What an entry says of where cuttings went; NULL: nothing. */
static const RecordLine *goal_of(const Entry *entry)
{
    const RecordLine *line = entry->read && entry->read->instead ? entry->read->instead : entry->read;
    return line && record_says(line, PIECE_TO) ? line : NULL;
}

static void find_wanted(Arena *arena, const Entries *entries, Search *search)
{
    search->wanted = ARENA_ARRAY(arena, Wanted, 2 * entries->count);
    size_t count = 0;
    for (size_t i = 0; i < entries->count; i++) {
        const Entry *entry = entries->at[i];
        search->wanted[count++] = (Wanted){.batch = entry->batch, .entry = entry};
        const RecordLine *goal = goal_of(entry);
        if (goal) search->wanted[count++] = (Wanted){name_slice(goal->other), entry, true, false};
    }
    if (count) qsort(search->wanted, count, sizeof *search->wanted, by_batch);
    for (size_t i = 0; i < count; i++)
        if (!search->count || !slice_equal(search->wanted[search->count - 1].batch, search->wanted[i].batch))
            search->wanted[search->count++] = search->wanted[i];
}

static Wanted *wanted_called(const Search *search, Slice batch)
{
    size_t low = 0, high = search->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        int order = slice_compare(search->wanted[middle].batch, batch);
        if (order == 0) return &search->wanted[middle];
        if (order < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return NULL;
}

static bool judge_stretch(void *to, const Plan *plan)
{
    Search *search = to;
    for (size_t row = 0; row < plan->rows && search->found < search->count; row++) {
        Wanted *wanted = wanted_called(search, plan->ids[row]);
        if (!wanted) continue;
        if (!wanted->is_goal) lint_batch(search->lint, plan, row);
        wanted->found = true;
        search->found++;
    }
    return search->found < search->count;
}

/* Checks the batches and gives which of them there are. */
static Search judge_batches(Load *load, const Entries *entries, Day today)
{
    Search search = {.lint = lint_new(load->nursery, today, job_out_of_memory)};
    find_wanted(load->arena, entries, &search);
    if (judge_stretch(&search, plan_of_blocks(load->nursery))) tables_visit(load, judge_stretch, &search);
    lint_finish_batches(search.lint);
    lint_free(search.lint);
    return search;
}

static void tell_unknown(Load *load, const Search *search)
{
    for (size_t i = 0; i < search->count; i++) {
        const Wanted *wanted = &search->wanted[i];
        if (wanted->found) continue;
        if (wanted->is_goal)
            record_check_goal(load->nursery, nursery_record(load->nursery, wanted->entry->batch)->id,
                              goal_of(wanted->entry));
        else
            record_check_unplanned(load->nursery, wanted->batch, wanted->entry->block.value.span);
    }
}

/* ------------------------------------------------------------------ whose findings */

typedef struct Sieve {
    const Entries *entries;
    const Search *search;
    Notes *before; /* what is found without the entries; NULL: not asked yet */
} Sieve;

static bool points_at_entry(const Sieve *sieve, const Note *note)
{
    for (unsigned i = 0; i < note->places; i++)
        if (entries_come_from(sieve->entries, note->place[i].span.text)) return true;
    return false;
}

/* Entries are of this batch. */
static bool is_wanted(const Search *search, Slice batch)
{
    const Wanted *wanted = wanted_called(search, batch);
    return wanted && !wanted->is_goal;
}

static bool is_of_batch(const Sieve *sieve, const Note *note)
{
    return note->severity == SEVERITY_ERROR && note->subject &&
           is_wanted(sieve->search, slice_of(note->subject));
}

static bool same_finding(const Note *a, const Note *b)
{
    Span x = a->place[0].span, y = b->place[0].span;
    return !strcmp(a->name, b->name) && x.text && y.text && !strcmp(x.text->name, y.text->name) &&
           text_position(x.text, x.begin).line == text_position(y.text, y.begin).line && x.begin == y.begin;
}

static bool stood_before(const Sieve *sieve, const Note *note)
{
    size_t count;
    Note *const *notes = notes_sorted(sieve->before, &count);
    for (size_t i = 0; i < count; i++)
        if (is_of_batch(sieve, notes[i]) && same_finding(note, notes[i])) return true;
    return false;
}

static bool is_of_others(const Note *note, void *with)
{
    const Sieve *sieve = with;
    return !points_at_entry(sieve, note) && !is_of_batch(sieve, note);
}

static bool is_old(const Note *note, void *with)
{
    return !points_at_entry(with, note) && stood_before(with, note);
}

/* Some are left that do not point at what was typed. */
static bool asks_for_before(const Sieve *sieve, Notes *notes)
{
    size_t count;
    Note *const *all = notes_sorted(notes, &count);
    for (size_t i = 0; i < count; i++)
        if (!points_at_entry(sieve, all[i])) return true;
    return false;
}

/* What is found elsewhere shows which line brings it up. */
static void point_at_entries(const Sieve *sieve, Notes *notes)
{
    size_t count;
    Note *const *all = notes_sorted(notes, &count);
    for (size_t i = 0; i < count; i++) {
        const Wanted *wanted = wanted_called(sieve->search, slice_of(all[i]->subject));
        if (wanted && !points_at_entry(sieve, all[i]))
            note_place(all[i], wanted->entry->line.span, "it comes with");
    }
}

bool judged_hold(Judged *judged, const Entries *entries, Day today)
{
    Notes *notes = judged->load.notes;
    Search search = judge_batches(&judged->load, entries, today);
    tell_unknown(&judged->load, &search);
    Sieve sieve = {.entries = entries, .search = &search};
    notes_remove(notes, is_of_others, &sieve);
    if (asks_for_before(&sieve, notes)) {
        Load without;
        read_load(judged, &without, NULL, false);
        judge_batches(&without, entries, today);
        sieve.before = without.notes;
        notes_remove(notes, is_old, &sieve);
        arena_free(without.arena);
        point_at_entries(&sieve, notes);
    }
    return !notes_count(notes, SEVERITY_ERROR) && !notes_fatal(notes);
}
