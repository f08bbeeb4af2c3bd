/* model/reading: what is printed reads alike, spelling does not matter, cells read as clauses do, and
 * whatever stands in a clause gives either a reading or one note. */
#include "reading_clause.h"

/* ------------------------------------------------------------------ equal and unequal */

static void equal_values_in_other_words(void **state)
{
    Bench bench = bench_of(state);
    static const struct {
        const char *block, *a, *b;
    } rows[] = {
        {"take", "length 1 in", "length 25.4 mm"},
        {"take", "length 8 .. 15 cm", "length 80 .. 150 mm"},
        {"take", "length 5 cm, 8 .. 9 cm", "length 8 .. 9 cm, 50 mm"},
        {"take", "length 5 .. 8 cm, 7 .. 9 cm", "length 5 .. 9 cm"},
        {"take", "leaf-trim 10 %", "leaf-trim 1 in 10"},
        {"stage", "medium-temperature 50 F", "medium-temperature 10 C"},
        {"stage", "medium-temperature 20 +- 2 C", "medium-temperature 18 .. 22 C"},
        {"treat", "dilution 1 + 9", "dilution 1 in 10"},
        {"treat", "hormone IBA 0.3 % talc", "hormone IBA talc 3000 ppm"},
        {"treat", "hormone none, IBA 60 ppm soak 1 h", "hormone IBA soak 60 min 60 ppm, none"},
        {"take", "wood softwood, greenwood", "wood greenwood, softwood"},
        {"stick", "medium 1 peat : 1 perlite", "medium 2 peat : 2 perlite"},
        {"batch", "stick 18 Jun 2027", "stick 2027-06-18"},
        {"stage", "lasts 2 weeks", "lasts 14 days"},
        {"task", "at day 7", "at 1 week after start"},
        {"task", "at ready root", "at end of root"},
        {"place", "holds 4 tray-a, 6 tray-b", "holds 6 tray-b, 4 tray-a"},
        {"site", "duty Sat, Sun", "duty Sat .. Sun"},
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        const Reading *a = bench_accept(&bench, rows[i].block, rows[i].a);
        Bench other = {bench.arena, names_new(bench.arena)}; /* of another nursery */
        const Reading *b = bench_accept(&other, rows[i].block, rows[i].b);
        if (!reading_equal(a, b)) fail_msg("%s is not %s", rows[i].a, rows[i].b);
        assert_string_equal(reading_key(bench.arena, a), reading_key(bench.arena, b));
    }
}

static void different_values_differ(void **state)
{
    Bench bench = bench_of(state);
    static const struct {
        const char *block, *a, *b;
    } rows[] = {
        {"take", "length 1 in", "length 25 mm"},
        {"take", "length at most 5 cm", "length 5 cm"},
        {"take", "length at most 5 cm", "length < 5 cm"},
        {"take", "leaf-trim none", "leaf-trim 0 %"},
        {"stick", "depth 1/2 of length", "depth 1/2 of thickness"},
        {"container", "footprint 54 x 28 cm", "footprint 28 x 54 cm"},
        {"task", "takes 2 min per tray", "takes 2 min per box"},
        {"treat", "hormone IBA 3000 ppm talc", "hormone IBA 3000 ppm gel"},
        {"treat", "hormone IBA 3000 ppm talc", "hormone NAA 3000 ppm talc"},
        {"treat", "hormone IBA 60 ppm soak 1 h", "hormone IBA 60 ppm soak 2 h"},
        {"treat", "order wound, hormone", "order hormone, wound"},
        {"stick", "medium 1 peat : 1 perlite", "medium 1 peat : 2 perlite"},
        {"stick", "medium 1 peat : 1 perlite", "medium 1 perlite : 1 peat"},
        {"batch", "stick mid Feb 2028", "stick 11 Feb .. 20 Feb 2028"},
        {"batch", "arrive 5 Feb 2027", "arrive 5 Feb 2027 11:30"},
        {"batch", "want 200 by 1 Apr 2028", "want 201 by 1 Apr 2028"},
        {"batch", "want 200 by 1 Apr 2028", "want 200 by 2 Apr 2028"},
        {"take", "window late May", "window mid May"},
        {"take", "window late May .. Jun", "window all year"},
        {"stage", "lasts until first-frost", "lasts until leaf-fall"},
        {"stage", "lasts until 2 weeks after leaf-fall", "lasts until leaf-fall"},
        {"task", "at end", "at end of root"},
        {"task", "at 1 week before end", "at 1 week after end"},
        {"task", "slack 3 days", "slack 3 days after"},
        {"task", "latest day 24", "latest 24 May"},
        {"task", "count bare", "count bare of a sample"},
        {"batch", "stands frame", "stands frame from winter"},
        {"site", "closed 24 Dec .. 2 Jan", "closed 24 Dec .. 2 Jan \"winter break\""},
        {"site", "duty Sat", "duty Sun"},
        {"protocol", "for Salix", "for Salix \"shrub kinds\""},
        {"protocol", "drop task pot", "drop stage pot"},
        {"nursery", "judge a as note", "judge a as off"},
        {"task", "say \"a\"", "say es \"a\""},
        {"schedule", "day 0 off", "day 0 .. end off"},
        {"task", "when night-low < 1 C", "when night-low < 2 C"},
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        const Reading *a = bench_accept(&bench, rows[i].block, rows[i].a);
        const Reading *b = bench_accept(&bench, rows[i].block, rows[i].b);
        if (reading_equal(a, b)) fail_msg("%s is %s", rows[i].a, rows[i].b);
        if (strcmp(reading_key(bench.arena, a), reading_key(bench.arena, b)) == 0)
            fail_msg("%s and %s have one key", rows[i].a, rows[i].b);
    }
}

static void clauses_are_joined(void **state)
{
    Bench bench = bench_of(state);
    const Reading *a = bench_accept(&bench, "take", "window mid Jan .. end Mar");
    const Reading *both =
        reading_joined(bench.arena, a, bench_accept(&bench, "take", "window mid Jul .. late Aug"));
    assert_int_equal(both->window_count, 2);
    assert_string_equal(reading_print(bench.arena, field_find(SLICE("window"), BLOCK_TAKE), both, NULL),
                        "mid Jan .. end Mar, mid Jul .. late Aug");
    const Reading *ask = bench_accept(&bench, "protocol", "ask depth");
    const Reading *asks =
        reading_joined(bench.arena, ask, bench_accept(&bench, "protocol", "ask stands, count"));
    assert_int_equal(asks->word_count, 3);
    assert_ptr_equal(asks->fields[2], field_find(SLICE("count"), BLOCK_BATCH));
    assert_true(reading_equal(asks, bench_accept(&bench, "protocol", "ask count, depth, stands")));
}

/* ------------------------------------------------------------------ cells */

static const Reading *cell(const Bench *bench, const char *field, const char *bytes, const Unit *unit,
                           size_t *notes)
{
    Notes *queue = notes_new(bench->arena, 4);
    size_t length = strlen(bytes);
    Text *text = text_new(bench->arena, "plan.csv", bytes, (uint32_t)length, 7);
    Span span = {text, 0, (uint32_t)length};
    Value value;
    if (!syntax_read_value(bench->arena, text, span, queue, &value)) fail_msg("%s is no value", bytes);
    ReadContext context = {bench->arena, bench->names, queue, unit};
    const Reading *reading =
        reading_of_value(&context, field_find(slice_of(field), BLOCK_BATCH), &value, span, "batch");
    *notes = notes_total(queue);
    return reading;
}

static void cells_take_the_unit_of_their_column(void **state)
{
    Bench bench = bench_of(state);
    const Unit *cm = unit_find(SLICE("cm"), DIM_LENGTH), *mm = unit_find(SLICE("mm"), DIM_LENGTH);
    size_t notes;
    assert_true(
        reading_equal(cell(&bench, "depth", "2", cm, &notes), bench_accept(&bench, "batch", "depth 20 mm")));
    assert_true(reading_equal(cell(&bench, "depth", "2 .. 3", cm, &notes),
                              bench_accept(&bench, "batch", "depth 20 .. 30 mm")));
    assert_true(reading_equal(cell(&bench, "depth", "1 in", cm, &notes),
                              bench_accept(&bench, "batch", "depth 25.4 mm")));
    assert_null(cell(&bench, "depth", "2", NULL, &notes));
    assert_int_equal(notes, 1);
    assert_null(cell(&bench, "depth", "2", unit_find(SLICE("C"), DIM_TEMPERATURE), &notes));
    const Reading *words = cell(&bench, "wood", "softwood, greenwood", NULL, &notes);
    assert_int_equal(words->word_count, 2);
    assert_null(words->words[0].span.text); /* the text of a cell is soon gone */
    ReadContext context = {bench.arena, bench.names, notes_new(bench.arena, 4), mm};
    const Field *depth = field_find(SLICE("depth"), BLOCK_BATCH),
                *stick = field_find(SLICE("stick"), BLOCK_BATCH);
    const Reading *number = reading_of_number(&context, depth, NUMBER(20), mm, SLICE("20"));
    assert_true(reading_equal(number, bench_accept(&bench, "batch", "depth 2 cm")));
    assert_null(reading_of_number(&context, depth, NUMBER(-20), mm, SLICE("-20")));
    Day day;
    assert_true(day_make(2027, 6, 18, &day));
    assert_true(reading_equal(reading_of_day(&context, stick, day, SLICE("2027-06-18")),
                              bench_accept(&bench, "batch", "stick 18 Jun 2027")));
    assert_null(reading_of_day(&context, depth, day, SLICE("2027-06-18")));
}

/* ------------------------------------------------------------------ printed and read again */

typedef struct Maker {
    CheckRandom random;
    char text[256];
    size_t length;
} Maker;

__attribute__((format(printf, 2, 3))) static void put(Maker *maker, const char *format, ...)
{
    va_list values;
    va_start(values, format);
    maker->length +=
        (size_t)vsnprintf(maker->text + maker->length, sizeof maker->text - maker->length, format, values);
    va_end(values);
}

static unsigned below(Maker *maker, unsigned limit)
{
    return check_below(&maker->random, limit);
}

static const char *one_of(Maker *maker, const char *const *words)
{
    unsigned count = 0;
    while (words[count]) count++;
    return words[below(maker, count)];
}

#define ONE_OF(...) one_of(maker, (const char *const[]){__VA_ARGS__, NULL})

static void put_bounded(Maker *maker, const char *unit, unsigned most)
{
    unsigned low = below(maker, most), high = low + 1 + below(maker, most);
    switch (below(maker, 5)) {
    case 0: put(maker, "%u.%u %s", low, below(maker, 10), unit); break;
    case 1: put(maker, "%u .. %u.25 %s", low, high, unit); break;
    case 2: put(maker, "at most %u %s", high, unit); break;
    case 3: put(maker, "> %u %s", low, unit); break;
    default: put(maker, "at least %u.5 %s", low, unit); break;
    }
}

static const char *make_length(Maker *maker)
{
    put(maker, "length ");
    put_bounded(maker, ONE_OF("mm", "cm", "in", "ft"), 40);
    if (below(maker, 2)) put(maker, ", %u in", 600 + below(maker, 9));
    return "take";
}

static const char *make_temperature(Maker *maker)
{
    put(maker, "air-temperature ");
    put_bounded(maker, ONE_OF("C", "F"), 60);
    return "stage";
}

static const char *make_share(Maker *maker)
{
    put(maker, "humidity ");
    if (below(maker, 2))
        put_bounded(maker, "%", 45);
    else
        put(maker, "%u/%u", 1 + below(maker, 3), 3 + below(maker, 9));
    return "stage";
}

static const char *make_day(Maker *maker)
{
    unsigned day = 1 + below(maker, 28);
    const char *month = ONE_OF("Jan", "Feb", "Jun", "Sep", "Dec");
    if (below(maker, 2))
        put(maker, "%u %s", day, month);
    else
        put(maker, "%s %s", ONE_OF("early", "mid", "late", "start", "end"), month);
    return "";
}

static const char *make_window(Maker *maker)
{
    put(maker, "window ");
    for (unsigned end = 0; end < 2; end++) {
        if (end) put(maker, " .. ");
        if (below(maker, 2)) {
            make_day(maker);
            continue;
        }
        if (below(maker, 2))
            put(maker, "%u %s %s ", 2 + below(maker, 20), ONE_OF("days", "weeks"), ONE_OF("after", "before"));
        put(maker, "%s", ONE_OF("first-frost", "last-frost", "leaf-fall", "bud-break"));
    }
    return "stick";
}

static const char *make_date(Maker *maker)
{
    unsigned year = 1900 + below(maker, 300);
    if (below(maker, 2))
        put(maker, "stick %u Mar .. %u May %u", 1 + below(maker, 31), 1 + below(maker, 31), year);
    else
        put(maker, "stick %s %s %u", ONE_OF("early", "mid", "late", "end"), ONE_OF("Feb", "Aug", "Nov"),
            year);
    return "batch";
}

static void put_span(Maker *maker)
{
    unsigned low = 1 + below(maker, 20);
    if (below(maker, 2)) put(maker, "%u .. ", low);
    put(maker, "%u %s", low + 1 + below(maker, 9), ONE_OF("days", "weeks", "d"));
}

static void put_moment(Maker *maker)
{
    put(maker, "%s",
        ONE_OF("take", "stick", "finish", "end of root", "start of wean", "ready root", "first-frost", "end",
               "start"));
}

static const char *make_lasts(Maker *maker)
{
    put(maker, "lasts ");
    switch (below(maker, 3)) {
    case 0: put_span(maker); break;
    case 1:
        put(maker, "until ");
        make_day(maker);
        break;
    default:
        put(maker, "until ");
        put_span(maker);
        put(maker, " %s %s", ONE_OF("after", "before"), ONE_OF("stick", "end of root", "leaf-fall", "take"));
    }
    return "stage";
}

static const char *make_at(Maker *maker)
{
    put(maker, "at ");
    switch (below(maker, 3)) {
    case 0: put(maker, "day %u", below(maker, 60)); break;
    case 1: put_moment(maker); break;
    default:
        put_span(maker);
        put(maker, " %s ", ONE_OF("after", "before"));
        put_moment(maker);
    }
    return "task";
}

static const char *make_dose(Maker *maker)
{
    put(maker, "hormone %s", below(maker, 3) ? "" : "none, ");
    put(maker, "%s ", ONE_OF("IBA", "K-IBA", "NAA", "IBA NAA"));
    unsigned low = below(maker, 5000);
    if (below(maker, 2)) put(maker, "%u .. ", low);
    put(maker, "%u %s %s", low + 1 + below(maker, 3000), ONE_OF("ppm", "mg/L"),
        ONE_OF("talc", "soak", "gel"));
    if (below(maker, 2)) put(maker, " %u %s", 1 + below(maker, 90), ONE_OF("s", "min", "h"));
    return "treat";
}

static const char *make_mix(Maker *maker)
{
    put(maker, "medium %u peat : %u.%u perlite", 1 + below(maker, 9), 1 + below(maker, 9), below(maker, 10));
    if (below(maker, 2)) put(maker, " : 1/%u pine bark", 2 + below(maker, 9));
    return "stick";
}

static const char *make_size(Maker *maker)
{
    put(maker, "footprint %u x %u.%u", 1 + below(maker, 90), 1 + below(maker, 90), below(maker, 10));
    if (below(maker, 2)) put(maker, " x %u", 1 + below(maker, 90));
    put(maker, " %s", ONE_OF("mm", "cm", "in"));
    return "container";
}

static const char *make_days(Maker *maker)
{
    put(maker, "closed %s .. %s, ", ONE_OF("Mon", "Wed", "Fri"), ONE_OF("Tue", "Fri", "Sun"));
    make_day(maker);
    put(maker, " .. ");
    make_day(maker);
    if (below(maker, 2)) put(maker, " \"inventory, \\\"quoted\\\" \\\\ and so on\"");
    return "site";
}

typedef const char *Make(Maker *maker);
static Make *const makes[] = {make_length, make_temperature, make_share, make_window, make_date, make_lasts,
                              make_at,     make_dose,        make_mix,   make_size,   make_days};

static void what_is_printed_reads_alike(void **state)
{
    Maker maker = {.random = check_random("reading")};
    for (int round = 0; round < 4000; round++) {
        Arena *arena = *state;
        ArenaMark mark = arena_mark(arena);
        Bench bench = bench_of(state);
        maker.length = 0;
        const char *block = makes[below(&maker, CHECK_COUNT(makes))](&maker);
        Outcome first = bench_read(&bench, block, maker.text);
        if (!first.reading) fail_msg("%s: %s", maker.text, first.note ? first.note->message : "no clause");
        const char *printed = reading_print(arena, first.field, first.reading, NULL);
        const char *again = arena_print(arena, "%s %s", first.field->spelling, printed);
        Outcome second = bench_read(&bench, block, again);
        if (!second.reading)
            fail_msg("%s, printed %s: %s", maker.text, again,
                     second.note ? second.note->message : "no clause");
        if (!reading_equal(first.reading, second.reading))
            fail_msg("%s, printed %s: another value", maker.text, again);
        assert_string_equal(reading_key(arena, first.reading), reading_key(arena, second.reading));
        assert_string_equal(reading_print(arena, second.field, second.reading, NULL), printed);
        arena_release(arena, mark);
    }
}

/* ------------------------------------------------------------------ anything at all */

static void put_anything(Maker *maker)
{
    static const char *const pieces[] = {"3",
                                         "12 mm",
                                         "5 .. 8 cm",
                                         "at most 50 %",
                                         "about",
                                         "20 C",
                                         "2 weeks",
                                         "(3 in)",
                                         "18 Jun 2027",
                                         "Jun",
                                         "mid Feb",
                                         "2028",
                                         "09:00",
                                         "1 in 10",
                                         "1 + 9",
                                         "1/2",
                                         "of",
                                         "length",
                                         "after",
                                         "before",
                                         "end",
                                         "start",
                                         "stick",
                                         "ready",
                                         "root",
                                         "day",
                                         "each",
                                         "until",
                                         "none",
                                         "unknown",
                                         "softwood",
                                         "IBA",
                                         "talc",
                                         "3000 ppm",
                                         "5 s",
                                         "per",
                                         "tray",
                                         "rooted",
                                         "x",
                                         "peat",
                                         "\"text\"",
                                         "from",
                                         "to",
                                         "as",
                                         "error",
                                         "task",
                                         "Mon",
                                         "Mon .. Fri",
                                         "first-frost",
                                         "by",
                                         "yes",
                                         "< 1 C",
                                         ",",
                                         ":",
                                         "45 +- 10 deg",
                                         "200",
                                         "5 Jun .. 2 Jul",
                                         "first-frost .. 2 weeks",
                                         "day .. end",
                                         "a",
                                         "sample",
                                         "-2 C",
                                         "0"};
    unsigned count = 1 + below(maker, 6);
    for (unsigned i = 0; i < count; i++) put(maker, " %s", pieces[below(maker, CHECK_COUNT(pieces))]);
}

static void anything_is_read_or_refused_once(void **state)
{
    Maker maker = {.random = check_random("anything")};
    size_t read = 0, refused = 0;
    for (int round = 0; round < 30000; round++) {
        Arena *arena = *state;
        ArenaMark mark = arena_mark(arena);
        Bench bench = bench_of(state);
        const Field *field = &field_table[below(&maker, (unsigned)field_count)];
        unsigned block = 0;
        while (!field_stands_in(field, (BlockKind)block)) block++;
        maker.length = 0;
        put(&maker, "%s", field->spelling);
        put_anything(&maker);
        if (field->type == TYPE_CONDITION) continue;
        Outcome outcome = bench_read(&bench, block_types[block].spelling, maker.text);
        if (outcome.parsed && outcome.reading) {
            read++;
            if (outcome.notes) fail_msg("%s: read, and %s", maker.text, outcome.note->message);
            assert_non_null(reading_print(arena, outcome.field, outcome.reading, NULL));
            assert_true(reading_equal(outcome.reading, outcome.reading));
            assert_non_null(reading_key(arena, outcome.reading));
        } else if (outcome.parsed) {
            refused++;
            if (outcome.notes != 1) fail_msg("%s: %zu notes", maker.text, outcome.notes);
            assert_non_null(outcome.note->place[0].span.text);
        }
        arena_release(arena, mark);
    }
    assert_true(read > 1000 && refused > 10000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(equal_values_in_other_words), CHECK_WITH_ARENA(different_values_differ),
        CHECK_WITH_ARENA(clauses_are_joined),          CHECK_WITH_ARENA(cells_take_the_unit_of_their_column),
        CHECK_WITH_ARENA(what_is_printed_reads_alike), CHECK_WITH_ARENA(anything_is_read_or_refused_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL) != 0;
}
