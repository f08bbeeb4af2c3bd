/* What a new layout changes: see patch.h.
 *
 * The two texts differ in white space alone. So no common lines have to be searched: it is enough to count
 * the bytes that are no white space, and lines that begin at the same count and have the same bytes are one
 * line. That takes as long as reading both, however much differs.
 */
#include "write/patch.h"

#include "base/vec.h"

enum { CONTEXT = 3 };

typedef struct Side {
    Slice rest;    /* from the begin of the line on */
    Slice line;    /* with its end */
    size_t before; /* bytes in earlier lines that are no white space */
    size_t number; /* of the line, from 1 */
} Side;

/* One line of the diff: both texts have it, or one. */
typedef struct Edit {
    char sign; /* blank, - or + */
    Slice line;
    size_t old, new; /* numbers of the lines that are next on either side */
} Edit;

typedef VEC(Edit) Edits;

static bool is_white(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

static size_t ink(Slice line)
{
    size_t count = 0;
    for (size_t i = 0; i < line.length; i++) count += !is_white(line.at[i]);
    return count;
}

static void look(Side *side)
{
    const char *end = side->rest.length ? memchr(side->rest.at, '\n', side->rest.length) : NULL;
    side->line = (Slice){side->rest.at, end ? (size_t)(end - side->rest.at) + 1 : side->rest.length};
}

static Side begin(Slice text)
{
    Side side = {.rest = text, .number = 1};
    look(&side);
    return side;
}

static void step(Side *side)
{
    side->before += ink(side->line);
    side->rest = (Slice){side->rest.at + side->line.length, side->rest.length - side->line.length};
    side->number++;
    look(side);
}

/* What becomes of the next lines: both, or the one that lags behind; of two at one count an empty new one, so
 * that old ink waits for new ink. */
static char next_sign(const Side *old, const Side *new)
{
    if (!old->rest.length) return '+';
    if (!new->rest.length) return '-';
    if (old->before != new->before) return old->before < new->before ? '-' : '+';
    if (slice_equal(old->line, new->line)) return ' ';
    return ink(new->line) == 0 ? '+' : '-';
}

static Edits edits_of(Arena *arena, Slice before, Slice after)
{
    Edits edits = {0};
    Side old = begin(before), new = begin(after);
    while (old.rest.length || new.rest.length) {
        char sign = next_sign(&old, &new);
        VEC_PUSH(arena, &edits, ((Edit){sign, sign == '+' ? new.line : old.line, old.number, new.number}));
        if (sign != '+') step(&old);
        if (sign != '-') step(&new);
    }
    return edits;
}

/* ------------------------------------------------------------------ writing */

static void write_line(Buffer *out, char sign, Slice line)
{
    buffer_char(out, sign);
    buffer_slice(out, line);
    if (line.at[line.length - 1] != '\n') buffer_text(out, "\n\\ No newline at end of file\n");
}

/* Lines that differ, those of the old text before those of the new. */
static size_t write_changed(Buffer *out, const Edits *edits, size_t from)
{
    size_t end = from;
    while (end < edits->count && edits->at[end].sign != ' ') end++;
    for (const char *sign = "-+"; *sign; sign++)
        for (size_t i = from; i < end; i++)
            if (edits->at[i].sign == *sign) write_line(out, *sign, edits->at[i].line);
    return end;
}

static void write_range(Buffer *out, char sign, size_t first, size_t count)
{
    buffer_print(out, "%c%zu", sign, count ? first : first - 1);
    if (count != 1) buffer_print(out, ",%zu", count);
    buffer_char(out, ' ');
}

static void write_hunk(Buffer *out, const Edits *edits, size_t from, size_t to)
{
    size_t old = 0, new = 0;
    for (size_t i = from; i < to; i++) {
        old += edits->at[i].sign != '+';
        new += edits->at[i].sign != '-';
    }
    buffer_text(out, "@@ ");
    write_range(out, '-', edits->at[from].old, old);
    write_range(out, '+', edits->at[from].new, new);
    buffer_text(out, "@@\n");
    for (size_t i = from; i < to;) {
        if (edits->at[i].sign != ' ') {
            i = write_changed(out, edits, i);
            continue;
        }
        write_line(out, ' ', edits->at[i].line);
        i++;
    }
}

/* The end of the hunk that has its first change at `at`: changes with few common lines between them share
 * one. */
static size_t hunk_end(const Edits *edits, size_t at)
{
    size_t last = at;
    for (size_t i = at; i < edits->count && i <= last + 2 * CONTEXT + 1; i++)
        if (edits->at[i].sign != ' ') last = i;
    return last + 1 + CONTEXT < edits->count ? last + 1 + CONTEXT : edits->count;
}

static void write_name(Buffer *out, const char *mark, const char *name)
{
    buffer_text(out, mark);
    buffer_escaped(out, slice_of(name));
    buffer_char(out, '\n');
}

void patch_write(Arena *arena, Buffer *out, const char *name, Slice old, Slice new)
{
    Edits edits = edits_of(arena, old, new);
    bool named = false;
    for (size_t i = 0, end = 0; i < edits.count; i++) {
        if (edits.at[i].sign == ' ') continue;
        if (!named) {
            write_name(out, "--- ", name);
            write_name(out, "+++ ", name);
            named = true;
        }
        size_t from = i > end + CONTEXT ? i - CONTEXT : end;
        end = hunk_end(&edits, i);
        write_hunk(out, &edits, from, end);
        i = end - 1;
    }
}
