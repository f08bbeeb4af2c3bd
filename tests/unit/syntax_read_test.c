/* The reader, from the outside: texts in, trees and messages out.
 *
 * What a text must give stands beside it in tables, the tree in the words of tree_dump. The rulings are those
 * of the language's description; the mistakes are those that people make.
 */
#include "check.h"

#include "base/buffer.h"
#include "syntax/read.h"

#include <stdio.h>

enum { KEPT = 1000 };

static Text *text_of(Arena *arena, const char *source, size_t length)
{
    return text_new(arena, "t.heel", arena_copy(arena, source, length), (uint32_t)length, 1);
}

static const char *dumped(Arena *arena, const Tree *tree)
{
    Buffer *out = buffer_in_memory(arena);
    tree_dump(tree, out);
    Slice slice = buffer_slice_of(out);
    return arena_copy(arena, slice.at, slice.length);
}

typedef struct Reading {
    Text *text;
    Tree *tree;
    Notes *notes;
    const char *dump;
} Reading;

static Reading read_bytes(Arena *arena, const char *source, size_t length)
{
    Reading reading = {.text = text_of(arena, source, length), .notes = notes_new(arena, KEPT)};
    reading.tree = syntax_read(arena, reading.text, reading.notes);
    reading.dump = dumped(arena, reading.tree);
    return reading;
}

static Reading read_source(Arena *arena, const char *source)
{
    return read_bytes(arena, source, strlen(source));
}

static const Note *only_note(const Reading *reading)
{
    size_t count;
    Note *const *notes = notes_sorted(reading->notes, &count);
    for (size_t i = 1; i < count; i++) print_message("also: %s\n", notes[i]->message);
    assert_int_equal(count, 1);
    return notes[0];
}

static void assert_clean(const Reading *reading)
{
    size_t count;
    Note *const *notes = notes_sorted(reading->notes, &count);
    if (count > 0)
        print_message("%.*s\n  %s\n", SLICE_ARG(text_line(reading->text, notes[0]->place[0].span.begin)),
                      notes[0]->message);
    assert_int_equal(count, 0);
}

static const char *nested(Arena *arena, const char *before, const char *middle, const char *after,
                          size_t times)
{
    Buffer *out = buffer_in_memory(arena);
    for (size_t i = 0; i < times; i++) buffer_text(out, before);
    buffer_text(out, middle);
    for (size_t i = 0; i < times; i++) buffer_text(out, after);
    Slice slice = buffer_slice_of(out);
    return arena_copy(arena, slice.at, slice.length);
}

/* ------------------------------------------------------------------ every node stands in its place */

static void check_within(Span inner, Span outer)
{
    assert_ptr_equal(inner.text, outer.text);
    assert_true(inner.begin <= inner.end);
    assert_true(outer.begin <= inner.begin && inner.end <= outer.end);
}

static void check_part(const Part *part, Span outer)
{
    check_within(part->span, outer);
    assert_true(part->span.end > part->span.begin);
    if (part->kind == PART_QUANTITY && part->quantity.unit.length)
        check_within(part->quantity.unit_span, part->span);
    if (part->a) check_part(part->a, part->span);
    if (part->b) check_part(part->b, part->span);
    if (part->a && part->b) assert_true(part->a->span.end <= part->b->span.begin);
}

static void check_expr(const Expr *expr, Span outer)
{
    if (!expr) return;
    check_within(expr->span, outer);
    assert_in_range(expr->depth, 1, TREE_CONDITION_DEPTH);
    const Expr *const below[] = {expr->a, expr->b, expr->c, expr->where};
    for (size_t i = 0; i < CHECK_COUNT(below); i++) {
        if (below[i]) assert_true(below[i]->depth < expr->depth);
        check_expr(
            below[i],
            outer); /* brackets belong to no node, so an operand may begin before its operator's node */
    }
}

static void check_items(const Item *item, Span outer)
{
    uint32_t behind = outer.begin;
    for (; item; item = item->next) {
        check_within(item->span, outer);
        assert_true(item->span.begin >= behind);
        behind = item->span.end;
        if (item->field.length > 0) check_within(item->field_span, item->span);
        for (const Mix *mix = item->value.first; mix; mix = mix->next) {
            check_within(mix->span, item->value.span);
            for (const Phrase *phrase = mix->first; phrase; phrase = phrase->next) {
                check_within(phrase->span, mix->span);
                assert_non_null(phrase->first);
                for (const Part *part = phrase->first; part; part = part->next)
                    check_part(part, phrase->span);
            }
        }
        if (item->value.first) check_within(item->value.span, item->span);
        check_expr(item->condition, item->span);
        for (const Citation *citation = item->citations; citation; citation = citation->next)
            check_within(citation->span, item->span);
        if (item->because.at) check_within(item->because_span, item->span);
        check_items(item->first, item->span);
    }
}

static void check_places(const Reading *reading)
{
    check_items(reading->tree->first, (Span){reading->text, 0, reading->text->length});
    size_t count;
    Note *const *notes = notes_sorted(reading->notes, &count);
    for (size_t i = 0; i < count; i++)
        for (unsigned place = 0; place < notes[i]->places; place++)
            check_within(notes[i]->place[place].span, (Span){reading->text, 0, reading->text->length});
}

/* ------------------------------------------------------------------ rulings */

static const struct {
    const char *source, *dump;
} rulings[] = {
    /* units stand directly behind a number, and nowhere else */
    {"a 3 in .. 5 in", "clause a = (3 in .. 5 in)\n"},
    {"a 1 in 10", "clause a = (1 in 10)\n"},
    {"when count in 3 .. 5", "condition when (in count 3 5)\n"},
    {"when depth in 1 .. 2 and depth > 12 in", "condition when (and (in depth 1 2) (> depth 12 in))\n"},
    {"at C, 12 C, C 12", "clause at = C , 12 C , C 12\n"},
    {"a 1/2 in", "clause a = 0.5 in\n"},
    {"when a / b > 1/2 in", "condition when (> (/ a b) 0.5 in)\n"},
    {"a 1 1/2 in", "clause a = 1.5 in\n"},
    {"a 12mm, 50%, 3 cu  ft, 2 sq in", "clause a = 12 mm , 50 % , 3 cu ft , 2 sq in\n"},
    {"a 5 .. 10 mol/m2/d, 3 mg/L", "clause a = (5 .. 10 mol/m2/d) , 3 mg/L\n"},
    {"a 2/3 of length", "clause a = 2/3 of length\n"},
    {"a 50 .. 200 per bag", "clause a = (50 .. 200) per bag\n"},
    {"a 16 .. 18 in (40 .. 45 cm)", "clause a = (16 .. 18 in) (restated (40 .. 45 cm))\n"},
    {"a 54 x 28 cm", "clause a = 54 x 28 cm\n"},
    /* signs */
    {"a -2 C .. 4 C", "clause a = (-2 C .. 4 C)\n"},
    {"a at least -2 C", "clause a = (at least -2 C)\n"},
    {"a (-2 C)", "clause a = (restated -2 C)\n"},
    {"a 45 +- 10 deg, 45 ± 10 deg", "clause a = (45 +- 10 deg) , (45 +- 10 deg)\n"},
    {"a < 1 C", "clause a = (< 1 C)\n"},
    {"a 1 + 9", "clause a = (1 + 9)\n"},
    {"when a - 3 < a-3 - -2 C", "condition when (< (- a 3) (- a-3 -2 C))\n"},
    {"when -(a) < -b", "condition when (< (- a) (- b))\n"},
    /* days and times */
    {"a late May .. mid Jul", "clause a = (<late May> .. <mid Jul>)\n"},
    {"a 24 Dec .. 2 Jan", "clause a = (<24 Dec> .. <2 Jan>)\n"},
    {"a end Feb, start Jun, early Mar, Jun", "clause a = <end Feb> , <start Jun> , <early Mar> , <Jun>\n"},
    {"a 29 Feb", "clause a = <29 Feb>\n"},
    {"a 18 Jun\n5 b", NULL},
    {"a 18 Jun 2027, 2027-06-18", "clause a = 2027-06-18 , 2027-06-18\n"},
    {"a 5 Feb 2027 11:30", "clause a = 2027-02-05 11:30\n"},
    {"a 09:00 .. 24:00", "clause a = (09:00 .. 24:00)\n"},
    {"a 1:10", "clause a = 1 : 10\n"},
    {"a 10:75, 25:10", "clause a = 10 : 75 , 25 : 10\n"},
    {"a Sat, Sun, 24 Dec .. 2 Jan", "clause a = Sat , Sun , (<24 Dec> .. <2 Jan>)\n"},
    {"at end, at start, late", "clause at = end , at start , late\n"},
    /* phrases */
    {"day 0 .. 3  5 .. 8 s every 5 .. 10 min day and night",
     "clause day = (0 .. 3) (5 .. 8 s) every (5 .. 10 min) day and night\n"},
    {"day 0  300 s", "clause day = 0 300 s\n"},
    {"a 1 peat : 1 perlite", "clause a = 1 peat : 1 perlite\n"},
    {"a IBA 1000 ppm quick-dip 1 .. 5 s", "clause a = IBA 1000 ppm quick-dip (1 .. 5 s)\n"},
    {"a 2 .. 4 weeks after ready root", "clause a = (2 .. 4 weeks) after ready root\n"},
    {"drop task pot because \"b\"", "clause drop = task pot\n  because \"b\"\n"},
    {"a épine, 根, µ", "clause a = épine , 根 , µ\n"},
    /* clauses and blocks */
    {"prefer protocol check { check 1 }", "block prefer protocol = check\n  clause check = 1\n"},
    {"rule a on place, stage {\n}\n", "block rule = a on place , stage\n"},
    {"b { volume 380 mL; footprint 9 x 9 cm }",
     "block b\n  clause volume = 380 mL\n  clause footprint = 9 x 9 cm\n"},
    {"a {;;}\n;;\n", "block a\n"},
    {"a 1,\n\n  # more\n  2", "clause a = 1 , 2\n"},
    {"a 1 [K table 3, trade] [ours]\n  # why\n\n  because \"# } because\"\n  instead \"\\\"\\\\\"",
     "clause a = 1\n  cite K at table 3\n  cite trade\n  cite ours\n  because \"# } because\"\n  instead "
     "\"\"\\\"\n"},
    {"a 1 [K p. 3–5, fig. 1,2\n (top)]", "clause a = 1\n  cite K at p. 3–5\n  cite fig at . 1,2\n (top)\n"},
    {"a (\n 3 C\n)", "clause a = (restated 3 C)\n"},
    {"18 Jun 2027 sample 16: callused 13, bare 2", "dated 2027-06-18 = sample 16 : callused 13 , bare 2\n"},
    {"must climate { }", "block must climate\n"},
    {"low 1; in 2; and 3; May 4", "clause low = 1\nclause in = 2\nclause and = 3\nclause May = 4\n"},
    /* conditions */
    {"when a or b and not c or d", "condition when (or (or a (and b (not c))) d)\n"},
    {"when a - b - c * d / e = 1", "condition when (= (- (- a b) (/ (* c d) e)) 1)\n"},
    {"when a\n  and b\n  or c", "condition when (or (and a b) c)\n"},
    {"when a is stated and b is unstated and c is not no",
     "condition when (and (and (is a STATED) (is b UNSTATED)) (!is c no))\n"},
    {"where wood is (softwood, high)", "condition where (is wood softwood|high)\n"},
    {"when a includes b and about lacks for", "condition when (and (includes a b) (!includes about for))\n"},
    {"when low high a = latest earliest b", "condition when (= (low (high a)) (latest (earliest b)))\n"},
    {"when mixed a on b.c", "condition when (mixed a b.c)\n"},
    {"when high hold.lasts > 7 days", "condition when (> (high hold.lasts) 7 days)\n"},
    {"when latest is stated and latest latest > 3",
     "condition when (and (is latest STATED) (> (latest latest) 3))\n"},
    {"when start of stage root < 1 Jan", "condition when (< start of stage root 1 Jan)\n"},
    {"when no stage or has task pot before end of stage root where (a > 1)",
     "condition when (or (!has stage) (has task pot (before end of stage root) (where (> a 1))))\n"},
    {"when work > 1360 per hour", "condition when (> work 1360 per hour)\n"},
    {"when t in mid Apr .. late Aug and t outside k",
     "condition when (and (in t mid Apr late Aug) (!in t k))\n"},
};

static void test_rulings(void **state)
{
    for (size_t i = 0; i < CHECK_COUNT(rulings); i++) {
        Reading reading = read_source(*state, rulings[i].source);
        if (!rulings[i].dump) {
            assert_string_equal(reading.dump, "clause a = <18 Jun>\nbroken\n");
            continue;
        }
        assert_clean(&reading);
        assert_string_equal(reading.dump, rulings[i].dump);
        check_places(&reading);
    }
}

/* ------------------------------------------------------------------ mistakes */

static const struct {
    const char *source;
    unsigned line, column, length; /* of the place; the length in bytes */
    const char *said;              /* part of the message */
} mistakes[] = {
    {"a 6/7/2027", 1, 3, 8, "6 Jul 2027 or 7 Jun 2027"},
    {"a 6.7.2027", 1, 3, 8, "6 Jul 2027 or 7 Jun 2027"},
    {"a 13/7/2027", 1, 3, 9, "13 Jul 2027 instead of"},
    {"a 2027/7/6", 1, 3, 8, "6 Jul 2027 instead of"},
    {"a 1.2.3", 1, 3, 5, "neither a number nor a date"},
    {"a 1,5 cm", 1, 3, 3, "1.5 or a list of 1 and 5"},
    {"a 1,000", 1, 3, 5, "1000 or 1.000"},
    {"a 1,000,000.5", 1, 3, 11, "1000000.5 or as a list"},
    {"a 1 000 ppm", 1, 3, 5, "1000 or as the numbers 1 and 000"},
    {"a 1 000 000", 1, 3, 9, "as 1000000 or"},
    {"a 1e5", 1, 3, 3, "power of ten or as a number and a name"},
    {"a “b” c", 1, 3, 7, "straight quotation marks"},
    {"a 'b' c", 1, 3, 3, "double quotation marks"},
    {"a 5–8 cm", 1, 4, 3, "5 .. 8, a minus -8"},
    {"a \xE2\x88\x92"
     "2 C",
     1, 3, 3, "a minus -8"},
    {"a 5-8 cm", 1, 3, 3, "5 .. 8"},
    {"a 5 cm - 8 cm", 1, 3, 8, "5 cm .. 8"},
    {"a late May - mid Jul", 1, 3, 10, "two points"},
    {"a 5\xC2\xA0"
     "cm",
     1, 4, 2, "no-break space"},
    {"a ½ in", 1, 3, 2, ": 1/2"},
    {"a 1¼ in", 1, 3, 3, ": 1 1/4"},
    {"a 1 ¾ in", 1, 5, 2, ": 3/4"},
    {"a 20 °C", 1, 6, 3, "without the ring: C"},
    {"a \"b", 1, 3, 2, "no closing quotation mark"},
    {"a \"b\r\nc 1", 1, 3, 3, "no closing quotation mark"},
    {"a 3\"", 1, 4, 1, "3 in"},
    {"a 5 ... 8", 1, 5, 3, "two points"},
    {"depth: 20 mm", 1, 6, 1, "write depth 20 mm"},
    {"depth = 20 mm # so", 1, 7, 1, "write depth 20 mm"},
    {"take: { a 1 }", 1, 5, 1, "write take {"},
    {"a <= 3", 1, 3, 2, "at most"},
    {"when a ≤ 3", 1, 8, 3, "<="},
    {"when a && b", 1, 8, 2, "write and"},
    {"a .5", 1, 3, 2, "write 0.5"},
    {"a 5.", 1, 4, 1, "point"},
    {"a 31 Jun", 1, 3, 6, "no day 31 Jun"},
    {"a 30 Feb 2027", 1, 3, 11, "no day 30 Feb 2027"},
    {"a 29 Feb 2027", 1, 3, 11, "no day 29 Feb 2027"},
    {"a 2027-13-01", 1, 3, 10, "no day 2027-13-01"},
    {"a 18 Jun 3027", 1, 3, 11, "1900 to 2199"},
    {"a 18 jun 2027", 1, 3, 11, "18 Jun 2027"},
    {"a Jun 18, 2027", 1, 3, 12, "18 Jun 2027"},
    {"a % b", 1, 3, 1, "behind a number"},
    {"a \"x \\q y\"", 1, 6, 2, "\\\" \\\\ and \\n"},
    {"a 1/0", 1, 3, 3, "zero stands below"},
    {"a 99999999999999999999999", 1, 3, 23, "too many figures"},
    {"a (b", 1, 3, 1, "( is not closed"},
    {"a [K\nb 1 [K]", 1, 3, 1, "[ is not closed"},
    {"when a and (b or c\nwhen (d)", 1, 12, 1, "( is not closed"},
    {"a 5 )", 1, 5, 1, "cannot stand here"},
    {"a 1 .. 2 .. 3", 1, 10, 2, "two ends"},
    {"a 1 because", 1, 12, 0, "after because stands a text"},
    {"a 1 because \"b\" because \"c\"", 1, 17, 7, "one because"},
    {"because \"b\"", 1, 1, 7, "behind a clause"},
    {"must", 1, 1, 4, "before the name of a field"},
    {"a when b", 1, 3, 4, "begins a clause of its own"},
    {"{ a 1 }", 1, 1, 1, "name of a block"},
    {"a\n{ b 1 }", 2, 1, 1, "on the same line"},
    {"5 b", 1, 1, 1, "begins with the name of its field"},
    {"18 Jun stuck 3", 1, 1, 6, "whole date"},
    {"a \"b\"\n\"c\"", 2, 1, 3, "one piece"},
    {"a []", 1, 4, 1, "a source"},
    {"when a >\nb 1", 1, 9, 1, "end of the line"},
    {"when has x", 1, 10, 1, "stage, task or record"},
    {"a { b 1 } c 2", 1, 11, 1, "line of its own"},
    {"a @ b @ c “ d", 1, 3, 1, "\"@\" is no sign"},
    {"a } b", 1, 3, 1, "} too many"},
    {"a {\n", 1, 3, 1, "never closed"},
};

static void test_mistakes(void **state)
{
    for (size_t i = 0; i < CHECK_COUNT(mistakes); i++) {
        Reading reading = read_source(*state, mistakes[i].source);
        const Note *note = only_note(&reading);
        Position position = text_position(reading.text, note->place[0].span.begin);
        print_message("%s\n", note->message);
        assert_non_null(strstr(note->message, mistakes[i].said));
        assert_int_equal(position.line, mistakes[i].line);
        assert_int_equal(position.column, mistakes[i].column);
        assert_int_equal(note->place[0].span.end - note->place[0].span.begin, mistakes[i].length);
        assert_string_equal(note->name, "syntax");
        assert_int_equal(note->severity, SEVERITY_ERROR);
        check_places(&reading);
    }
}

/* A mistake hides neither the clause before nor the one behind, and what was read of its head stays. */
static void test_recovery(void **state)
{
    static const char source[] =
        "a {\n  one 1\n  must two 1,5 cm; three 3\n  four = { five 5 }\n  six = 6 } # end\nseven 7\n";
    Reading reading = read_source(*state, source);
    size_t count;
    notes_sorted(reading.notes, &count);
    assert_int_equal(count, 3);
    assert_string_equal(reading.dump, "block a\n  clause one = 1\n  broken must two\n  clause three = 3\n"
                                      "  broken four\n    clause five = 5\n  broken six\nclause seven = 7\n");
    check_places(&reading);
}

/* Mistakes in one clause after the other are told one by one, and a clause is broken from its first word on.
 */
static void test_every_clause_told(void **state)
{
    Reading reading = read_source(*state, "must a\n  = 1\nb = 2; must c = 3\n} d\ne 5\n");
    size_t count;
    Note *const *notes = notes_sorted(reading.notes, &count);
    assert_int_equal(count, 4);
    assert_int_equal(text_position(reading.text, notes[2]->place[0].span.begin).column, 15);
    assert_string_equal(reading.dump,
                        "clause must a\nbroken\nbroken b\nbroken must c\nbroken\nclause d\nclause e = 5\n");
    const Item *must_c = reading.tree->first->next->next->next;
    assert_true(slice_starts(span_slice(must_c->span), "must c"));
}

/* No token by its inner name, and lists that can be read. */
static void test_expected(void **state)
{
    Reading reading = read_source(*state, "when a b");
    assert_string_equal(
        only_note(&reading)->message,
        "\"b\" cannot stand here; what can: a comparison, and/or, + - * /, the end of the clause, because, "
        "instead or a [source] or a point and a field");
}

static void test_braces(void **state)
{
    static const char left_open[] = "a {\n  b {\n    c 1\n  d {\n    e 1\n  }\n}\nf {\n}\n";
    Reading reading = read_source(*state, left_open);
    const Note *note = only_note(&reading);
    assert_int_equal(note->places, 2);
    assert_int_equal(text_position(reading.text, note->place[0].span.begin).line, 2);
    assert_int_equal(text_position(reading.text, note->place[1].span.begin).line, 4);

    static const char too_many[] = "a {\n  b {\n  }\n  }\n  c {\n  }\n}\nd {\n}\n";
    reading = read_source(*state, too_many);
    note = only_note(&reading);
    assert_int_equal(note->places, 2);
    assert_int_equal(text_position(reading.text, note->place[0].span.begin).line, 7);
    assert_int_equal(text_position(reading.text, note->place[1].span.begin).line, 4);

    /* what was crooked but whole is no guess for what is open later */
    reading = read_source(*state, "a {\nb 1\n}\nc {\n  d 1\n");
    note = only_note(&reading);
    assert_int_equal(note->places, 1);
    assert_int_equal(text_position(reading.text, note->place[0].span.begin).line, 4);

    /* crooked, but whole: no word about it */
    reading = read_source(*state, "a {\nb {\n    }\n        c 1\n  }\n");
    assert_clean(&reading);
}

static void test_first_places_untold(void **state)
{
    Reading reading = read_source(*state, nested(*state, "a @\n", "", "", 250));
    size_t count;
    Note *const *notes = notes_sorted(reading.notes, &count);
    assert_int_equal(count, 101);
    assert_string_equal(notes[100]->message, "and 150 more clauses from here on that cannot be read");
    assert_int_equal(text_position(reading.text, notes[100]->place[0].span.begin).line, 101);
    reading = read_source(*state, nested(*state, "a @\n", "", "", 100));
    notes_sorted(reading.notes, &count);
    assert_int_equal(count, 100);
}

/* ------------------------------------------------------------------ limits, on both sides */

static void assert_limit(Arena *arena, const char *within, const char *beyond, const char *said)
{
    Reading reading = read_source(arena, within);
    assert_clean(&reading);
    check_places(&reading);
    reading = read_source(arena, beyond);
    assert_non_null(strstr(only_note(&reading)->message, said));
    check_places(&reading);
}

static void test_limits(void **state)
{
    Arena *arena = *state;
    assert_limit(arena, nested(arena, "a { ", "", "}", TREE_BLOCK_DEPTH),
                 nested(arena, "a { ", "", "}", TREE_BLOCK_DEPTH + 1), "64 deep");
    assert_limit(arena, nested(arena, "a ", nested(arena, "w", "", "", TREE_NAME_LENGTH), "", 1),
                 nested(arena, "a ", nested(arena, "w", "", "", TREE_NAME_LENGTH + 1), "", 1), "255 bytes");
    const char *text = nested(arena, "w", "", "", TREE_TEXT_LENGTH);
    assert_limit(arena, arena_print(arena, "a \"%s\"", text), arena_print(arena, "a \"%sw\"", text),
                 "65536 bytes");
    assert_limit(arena, nested(arena, "", "when a", " and a", TREE_CONDITION_DEPTH - 1),
                 nested(arena, "", "when a", " and a", TREE_CONDITION_DEPTH), "goes on too long");
    assert_limit(arena, nested(arena, "", "when a", " + a", TREE_CONDITION_DEPTH - 1),
                 nested(arena, "", "when a", " + a", TREE_CONDITION_DEPTH), "goes on too long");
    const char *nots = nested(arena, "not ", "a", "", TREE_CONDITION_DEPTH - 1);
    assert_limit(arena, arena_print(arena, "when %s", nots), arena_print(arena, "when not %s", nots),
                 "goes on too long");
    const char *brackets = nested(arena, "(", "a", ")", TREE_BRACKET_DEPTH);
    assert_limit(arena, arena_print(arena, "when %s", brackets), arena_print(arena, "when (%s)", brackets),
                 "64 deep");
}

static void test_too_many_nodes(void **state)
{
    Arena *arena = *state;
    /* a clause is two nodes, itself and its part */
    Reading reading = read_source(arena, nested(arena, "a 1\n", "", "", TREE_NODES / 2));
    assert_clean(&reading);
    reading = read_source(arena, nested(arena, "a 1\n", "b", "", TREE_NODES / 2));
    assert_non_null(strstr(only_note(&reading)->message, "more in this file"));
}

/* The deepest text that the limits allow, with as much as possible waiting at each level, finds room on the
 * stack. */
static void test_stack(void **state)
{
    Arena *arena = *state;
    const char *level = "a or b and not c in d .. e + f * low (";
    const char *condition = nested(arena, level, "f", ")", TREE_BRACKET_DEPTH);
    const char *source =
        nested(arena, "must a b 1 {\n", arena_print(arena, "when %s", condition), "\n}", TREE_BLOCK_DEPTH);
    Reading reading = read_source(arena, source);
    assert_string_not_equal(reading.dump, "");
    size_t count;
    Note *const *notes = notes_sorted(reading.notes, &count);
    assert_int_equal(count, 1);
    assert_non_null(strstr(notes[0]->message, "goes on too long"));
    const char *shallow = nested(arena, "a or b and not has task where (", "f", ")", TREE_BRACKET_DEPTH / 2);
    reading = read_source(arena, arena_print(arena, "when %s", shallow));
    assert_clean(&reading);
}

/* ------------------------------------------------------------------ whole files */

static const char *sample(Arena *arena)
{
    const char *tests = getenv("HEELCUT_TESTS");
    const char *path = arena_print(arena, "%s/unit/data/nursery.heel", tests ? tests : "tests");
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    char bytes[8192];
    size_t length = fread(bytes, 1, sizeof bytes, file);
    fclose(file);
    assert_in_range(length, 1000, sizeof bytes - 1);
    return arena_copy(arena, bytes, length);
}

static void test_sample(void **state)
{
    Reading reading = read_source(*state, sample(*state));
    assert_clean(&reading);
    check_places(&reading);
    assert_null(strstr(reading.dump, "broken"));
}

/* A text cut anywhere gives a tree whose places are sound, and few messages. */
static void test_cut_everywhere(void **state)
{
    const char *source = sample(*state);
    for (size_t length = 0; length < strlen(source); length++) {
        Arena *arena = arena_new(check_exhausted);
        Reading reading = read_bytes(arena, source, length);
        check_places(&reading);
        assert_in_range(notes_total(reading.notes), 0, 2);
        arena_free(arena);
    }
}

static void test_line_left_out(void **state)
{
    const char *source = sample(*state);
    for (const char *line = source; *line;) {
        const char *next = strchr(line, '\n') + 1;
        Arena *arena = arena_new(check_exhausted);
        Reading reading =
            read_source(arena, arena_print(arena, "%.*s%s", (int)(line - source), source, next));
        check_places(&reading);
        if (notes_total(reading.notes) > 2) print_message("without: %.*s", (int)(next - line), line);
        assert_in_range(notes_total(reading.notes), 0, 2);
        arena_free(arena);
        line = next;
    }
}

/* Any byte replaced by any mark of the language. */
static void test_byte_changed(void **state)
{
    static const char marks[] = "{}()[],;:\"#.-+<>= \n\\a1";
    const char *source = sample(*state);
    size_t length = strlen(source);
    CheckRandom random = check_random("syntax_read_test: byte changed");
    for (unsigned round = 0; round < 4000; round++) {
        Arena *arena = arena_new(check_exhausted);
        char *bytes = arena_copy(arena, source, length);
        for (unsigned i = 0; i <= round % 3; i++)
            bytes[check_below(&random, (unsigned)length)] = marks[check_below(&random, sizeof marks - 1)];
        Reading reading = read_bytes(arena, bytes, length);
        check_places(&reading);
        arena_free(arena);
    }
}

static void test_line_ends(void **state)
{
    Arena *arena = *state;
    const char *source = sample(arena);
    size_t length = strlen(source);
    Reading plain = read_source(arena, source);
    Buffer *out = buffer_in_memory(arena);
    buffer_text(out, "\xEF\xBB\xBF");
    for (const char *at = source; *at; at++) {
        if (*at == '\n') buffer_char(out, '\r');
        buffer_char(out, *at);
    }
    Slice dos = buffer_slice_of(out);
    Reading with_returns = read_bytes(arena, dos.at, dos.length);
    assert_clean(&with_returns);
    assert_string_equal(with_returns.dump, plain.dump);
    Reading without_last = read_bytes(arena, source, length - 1);
    assert_clean(&without_last);
    assert_string_equal(without_last.dump, plain.dump);
}

static void test_refused_bytes(void **state)
{
    Reading reading = read_bytes(*state, "a \0 b", 5);
    assert_non_null(strstr(only_note(&reading)->message, "NUL"));
    assert_int_equal(reading.tree->first == NULL, 1);
    reading = read_source(*state, "a \xE2\x80\xAE b");
    assert_non_null(strstr(only_note(&reading)->message, "U+202E"));
    reading = read_source(*state, "");
    assert_clean(&reading);
}

static void test_details(void **state)
{
    Reading reading = read_source(*state, "must depth -1 1/2 in [K p. 3] because \"a\\n\\\"b\\\"\"");
    assert_clean(&reading);
    const Item *item = reading.tree->first;
    const Quantity *quantity = &item->value.first->first->first->quantity;
    assert_true(slice_is(quantity->digits, "-1 1/2"));
    assert_true(quantity->number.num == -3 && quantity->number.den == 2);
    assert_true(slice_is(span_slice(quantity->unit_span), "in"));
    assert_true(slice_is(span_slice(item->strength_span), "must"));
    assert_true(slice_is(item->because, "a\n\"b\""));
    assert_true(slice_is(span_slice(item->citations->span), "K p. 3"));
    assert_true(slice_is(item->citations->where, "p. 3"));
    assert_int_equal(item->span.end, reading.text->length);
    assert_null(item->instead.at);
}

/* ------------------------------------------------------------------ one value */

static const struct {
    const char *text, *dump; /* the value stands between < and > */
} values[] = {
    {"x,<8 .. 15 cm>,y", "clause v = (8 .. 15 cm)\n"},
    {"<>", "clause v\n"},
    {"a <  > b", "clause v\n"},
    {"<18 Jun 2027>", "clause v = 2027-06-18\n"},
    {"<1 peat : 1 perlite, sand>", "clause v = 1 peat : 1 perlite , sand\n"},
    {"<5 b c>d e", "clause v = 5 b c\n"},
    {"<\"a b\">", "clause v = \"a b\"\n"},
    {"<when>", NULL},
    {"<a because \"b\">", NULL},
    {"<1,5>", NULL},
    {"<a { b }>", NULL},
    {"<a\nb>", NULL},
    {"<a }>", NULL},
    {"<\"a>\"", NULL},
    {"<5 . .>", NULL},
};

static void test_values(void **state)
{
    Arena *arena = *state;
    for (size_t i = 0; i < CHECK_COUNT(values); i++) {
        Text *text = text_of(arena, values[i].text, strlen(values[i].text));
        Span span = {text, (uint32_t)strcspn(values[i].text, "<") + 1,
                     (uint32_t)strcspn(values[i].text, ">")};
        Notes *notes = notes_new(arena, KEPT);
        Item item = {.kind = ITEM_CLAUSE, .field = SLICE("v")};
        bool read = syntax_read_value(arena, text, span, notes, &item.value);
        print_message("%s\n", values[i].text);
        assert_int_equal(read, values[i].dump != NULL);
        assert_int_equal(notes_total(notes), values[i].dump ? 0 : 1);
        size_t count;
        if (!read) check_within(notes_sorted(notes, &count)[0]->place[0].span, span);
        if (!read) continue;
        assert_string_equal(dumped(arena, &(Tree){text, &item}), values[i].dump);
        check_within(item.value.span, span);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(test_rulings),
        CHECK_WITH_ARENA(test_mistakes),
        CHECK_WITH_ARENA(test_recovery),
        CHECK_WITH_ARENA(test_every_clause_told),
        CHECK_WITH_ARENA(test_expected),
        CHECK_WITH_ARENA(test_braces),
        CHECK_WITH_ARENA(test_first_places_untold),
        CHECK_WITH_ARENA(test_limits),
        CHECK_WITH_ARENA(test_too_many_nodes),
        CHECK_WITH_ARENA(test_stack),
        CHECK_WITH_ARENA(test_sample),
        CHECK_WITH_ARENA(test_cut_everywhere),
        CHECK_WITH_ARENA(test_line_left_out),
        CHECK_WITH_ARENA(test_byte_changed),
        CHECK_WITH_ARENA(test_line_ends),
        CHECK_WITH_ARENA(test_refused_bytes),
        CHECK_WITH_ARENA(test_details),
        CHECK_WITH_ARENA(test_values),
    };
    return cmocka_run_group_tests_name("syntax_read", tests, NULL, NULL) != 0;
}
