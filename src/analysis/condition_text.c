/* Compiled conditions as text in which names, numbers and dates stand resolved: numbers in base units, fields
 * and levels by their numbers, so that two spellings of one thing are one text. Nobody reads it; it is
 * compared. */
#include "analysis/condition_text.h"

#include "base/buffer.h"

static void write_name(Buffer *out, Name name)
{
    buffer_char(out, ' ');
    buffer_slice(out, name_slice(name));
}

static void write_number(Buffer *out, Number number)
{
    buffer_char(out, ' ');
    buffer_integer(out, number.num);
    buffer_char(out, '/');
    buffer_integer(out, number.den);
}

static void write_set(Buffer *out, IntervalSet set)
{
    for (size_t i = 0; i < set.count; i++) {
        Bound low = set.at[i].low, high = set.at[i].high;
        buffer_char(out, low.open ? '(' : '[');
        if (!low.unbounded) write_number(out, low.at);
        buffer_text(out, " ..");
        if (!high.unbounded) write_number(out, high.at);
        buffer_char(out, high.open ? ')' : ']');
    }
}

static void write_ref(Buffer *out, const Ref *ref)
{
    buffer_print(out, " @%d.%d.%d.%d", (int)ref->level, (int)ref->section,
                 ref->field ? (int)ref->field->number : -1, (int)ref->derived);
}

static void write_sum(Buffer *out, const Sum *sum)
{
    static const char *const signs[] = {
        [SUM_NUMBER] = "number", [SUM_DAY] = "day",  [SUM_REF] = "of", [SUM_POINT] = "point",
        [SUM_MOMENT] = "moment", [SUM_NEGATE] = "-", [SUM_ADD] = "+",  [SUM_SUBTRACT] = "-",
        [SUM_MULTIPLY] = "*",    [SUM_DIVIDE] = "/"};
    if (!sum) return;
    buffer_print(out, " (%s", signs[sum->kind]);
    switch (sum->kind) {
    case SUM_NUMBER: write_number(out, sum->number); break;
    case SUM_DAY: write_number(out, NUMBER(sum->day)); break;
    case SUM_REF: write_ref(out, &sum->ref); break;
    case SUM_POINT: buffer_integer(out, sum->point); break;
    case SUM_MOMENT:
        buffer_integer(out, sum->edge);
        write_name(out, sum->role);
        break;
    case SUM_NEGATE:
    case SUM_ADD:
    case SUM_SUBTRACT:
    case SUM_MULTIPLY:
    case SUM_DIVIDE: break;
    }
    write_sum(out, sum->a);
    write_sum(out, sum->b);
    buffer_char(out, ')');
}

static void write_mark(Buffer *out, const DayMark *mark)
{
    write_name(out, mark->event);
    buffer_print(out, " %u.%u.%u%+d", mark->day.month, mark->day.part, mark->day.day, (int)mark->days);
}

static void write_condition(Buffer *out, const Code *code);

static void write_thing(Buffer *out, const Code *code)
{
    buffer_integer(out, code->thing);
    write_name(out, code->role);
    buffer_print(out, " %d %d %d", (int)code->relation, (int)code->edge, (int)code->other_thing);
    write_name(out, code->other_role);
    write_condition(out, code->first);
}

/* Both in the order of their texts, so that `a < b` and `b > a` are about one thing. */
static bool write_compared(Arena *passing, Buffer *out, const Code *code)
{
    Buffer *texts[2] = {buffer_in_memory(passing), buffer_in_memory(passing)};
    write_sum(texts[0], code->a);
    write_sum(texts[1], code->b);
    Slice a = buffer_slice_of(texts[0]), b = buffer_slice_of(texts[1]);
    bool mirrored = slice_compare(a, b) > 0;
    buffer_slice(out, mirrored ? b : a);
    buffer_slice(out, mirrored ? a : b);
    return mirrored;
}

static void write_value(Buffer *out, const Code *code)
{
    static const char *const kinds[] = {[CODE_AND] = "and",       [CODE_OR] = "or",
                                        [CODE_MEMBER] = "number", [CODE_WINDOW] = "day of year",
                                        [CODE_IS] = "word",       [CODE_INCLUDES] = "list",
                                        [CODE_STATED] = "stated", [CODE_COMPARE] = "compared",
                                        [CODE_WITHIN] = "within", [CODE_MIXED] = "mixed",
                                        [CODE_HAS] = "has "};
    buffer_text(out, kinds[code->kind]);
    switch (code->kind) {
    case CODE_MEMBER: write_sum(out, code->a); break;
    case CODE_COMPARE:
    case CODE_WITHIN:
        write_sum(out, code->a);
        write_sum(out, code->b);
        write_sum(out, code->c);
        break;
    case CODE_WINDOW:
        write_sum(out, code->a);
        for (size_t i = 0; i < code->window_count; i++) {
            write_mark(out, &code->windows[i].first);
            write_mark(out, &code->windows[i].last);
        }
        break;
    case CODE_INCLUDES:
        write_ref(out, &code->ref);
        if (code->has_other)
            write_ref(out, &code->other);
        else
            write_name(out, code->words[0].name);
        break;
    case CODE_MIXED:
        write_ref(out, &code->ref);
        if (code->has_other) write_ref(out, &code->other);
        break;
    case CODE_IS:
    case CODE_STATED: write_ref(out, &code->ref); break;
    case CODE_HAS: write_thing(out, code); break;
    case CODE_AND:
    case CODE_OR: break;
    }
}

static void write_condition(Buffer *out, const Code *code)
{
    if (!code) return;
    buffer_text(out, code->negated ? " {not " : " {");
    write_value(out, code);
    if (code->kind == CODE_AND || code->kind == CODE_OR)
        for (const Code *member = code->first; member; member = member->next) write_condition(out, member);
    if (code->kind == CODE_COMPARE) buffer_integer(out, code->compare);
    if (code->kind == CODE_MEMBER) write_set(out, code->set);
    for (size_t i = 0; code->kind == CODE_IS && i < code->word_count; i++)
        write_name(out, code->words[i].name);
    buffer_char(out, '}');
}

Name atom_value(Arena *passing, Names *names, const Code *atom, bool *mirrored)
{
    Buffer *out = buffer_in_memory(passing);
    *mirrored = false;
    if (atom->kind == CODE_COMPARE)
        *mirrored = write_compared(passing, out, atom);
    else
        write_value(out, atom);
    return names_intern(names, buffer_slice_of(out));
}

Slice condition_text(Arena *passing, const Code *code)
{
    Buffer *out = buffer_in_memory(passing);
    write_condition(out, code);
    return buffer_slice_of(out);
}
