/* Known findings: see baseline.h. */
#include "analysis/baseline.h"

#include "base/vec.h"

#include <stdlib.h>
#include <string.h>

static const char heading[] = "# heelcut baseline 1";

typedef struct Entry {
    Slice key;
    uint32_t begin; /* in the text */
    bool used;
} Entry;
typedef struct Entries {
    Arena *arena;
    VEC(Entry) list;
} Entries;

static bool can_be_listed(const Note *note)
{
    return !note->fatal && strcmp(note->name, "syntax") != 0;
}

/* ------------------------------------------------------------------ reading */

static void refuse(Notes *notes, const Text *text, size_t begin, size_t end, const char *message)
{
    Span span = {text, (uint32_t)begin, (uint32_t)end};
    notes_add(notes, SEVERITY_ERROR, "baseline", span, "%s", message)->fatal = true;
}

static size_t tabs_in(Slice line)
{
    size_t count = 0;
    for (size_t i = 0; i < line.length; i++) count += line.at[i] == '\t';
    return count;
}

static int by_key(const void *a, const void *b)
{
    return slice_compare(((const Entry *)a)->key, ((const Entry *)b)->key);
}

/* False: it is no baseline, and that was told. */
static bool read_entries(Notes *notes, const Text *text, Entries *entries)
{
    Slice rest = {text->bytes, text->length};
    if (!slice_starts(rest, heading)) {
        refuse(notes, text, 0, 0, "this is no baseline: it begins with the line  # heelcut baseline 1");
        return false;
    }
    for (size_t at = 0, end; at < text->length; at = end + 1) {
        for (end = at; end < text->length && text->bytes[end] != '\n';) end++;
        size_t stop = end > at && text->bytes[end - 1] == '\r' ? end - 1 : end;
        Slice line = {text->bytes + at, stop - at};
        if (!line.length || *line.at == '#') continue;
        if (tabs_in(line) != 3) {
            refuse(notes, text, at, stop,
                   "an entry has four parts with a tab between them: name, subject, field, value");
            return false;
        }
        VEC_PUSH(entries->arena, &entries->list, ((Entry){line, (uint32_t)at, false}));
    }
    if (entries->list.count) qsort(entries->list.at, entries->list.count, sizeof *entries->list.at, by_key);
    return true;
}

/* ------------------------------------------------------------------ taking out */

static bool is_listed(const Note *note, void *known)
{
    Entries *entries = known;
    if (!can_be_listed(note) || !entries->list.count) return false;
    Entry wanted = {.key = slice_of(note_key(entries->arena, note))};
    Entry *found = bsearch(&wanted, entries->list.at, entries->list.count, sizeof wanted, by_key);
    if (found) found->used = true;
    return found != NULL;
}

static const char *entry_words(Arena *arena, Slice key)
{
    char *words = arena_copy(arena, key.at, key.length);
    for (char *at = words; *at; at++)
        if (*at == '\t') *at = ' ';
    return words;
}

size_t baseline_apply(Notes *notes, const Text *baseline)
{
    Entries entries = {.arena = notes_arena(notes)};
    if (!read_entries(notes, baseline, &entries)) return 0;
    size_t count = notes_remove(notes, is_listed, &entries);
    for (size_t i = 0; i < entries.list.count; i++) {
        const Entry *entry = &entries.list.at[i];
        if (entry->used) continue;
        Span span = {baseline, entry->begin, entry->begin + (uint32_t)entry->key.length};
        Note *note = notes_add(notes, SEVERITY_WARNING, "stale-baseline", span,
                               "no finding answers this entry any more: %s",
                               entry_words(notes_arena(notes), entry->key));
        note->instead = "take the line out, or write the baseline anew with --write-baseline";
    }
    return count;
}

/* ------------------------------------------------------------------ writing */

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

void baseline_write(Notes *notes, Buffer *out)
{
    size_t count, listed = 0;
    Note *const *all = notes_sorted(notes, &count);
    const char **keys = ARENA_ARRAY(notes_arena(notes), const char *, count);
    for (size_t i = 0; i < count; i++)
        if (can_be_listed(all[i])) keys[listed++] = note_key(notes_arena(notes), all[i]);
    if (listed) qsort(keys, listed, sizeof *keys, by_text);
    buffer_text(out, heading);
    buffer_text(out, "\n# Findings that are known and not told: name, subject, field, value. Take lines out "
                     "as they are mended.\n");
    for (size_t i = 0; i < listed; i++) {
        if (i && !strcmp(keys[i], keys[i - 1])) continue;
        buffer_text(out, keys[i]);
        buffer_char(out, '\n');
    }
}
