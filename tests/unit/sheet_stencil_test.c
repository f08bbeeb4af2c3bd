/* write/sheet_stencil, by way of CSV: what is remembered from row to row may show in no byte. Each task is
 * also written plainly here, cell by cell, and the two must be equal, whether much, little or nothing is
 * remembered. */
#include "check.h"

#include "analysis/expand.h"
#include "base/buffer.h"
#include "cmd/load.h"
#include "syntax/read.h"
#include "write/sheet_csv.h"
#include "write/sheet_part.h"
#include "write/sheet_stencil.h"

#include <unistd.h>

/* Nothing, less than a row, a few rows, some hundreds, all. */
static const size_t rooms[] = {0, 100, 2000, 50000, 2 << 20};

/* ------------------------------------------------------------------ the memory alone */

static void write_protocol(Sheet *sheet, Buffer *out, const WorkTask *task)
{
    (void)sheet;
    buffer_print(out, "%p", (const void *)task->protocol);
}

static void write_nothing(Sheet *sheet, Buffer *out, const WorkTask *task)
{
    (void)sheet, (void)out, (void)task;
}

static void write_plant(Sheet *sheet, Buffer *out, const WorkTask *task)
{
    (void)sheet;
    buffer_text(out, task->plant);
}

static void write_others(Sheet *sheet, Buffer *out, const WorkTask *task)
{
    (void)sheet;
    buffer_print(out, "%p %d", (const void *)task->place, task->date->task);
}

/* From task to task one thing alone is another, so that two keys which differ in it get into each other's way
 * now and then: each must get its own bytes. */
static void test_no_stencil_is_taken_for_another(void **state)
{
    enum { POOL = 3000 };
    static StencilRun *const runs[STENCIL_RUNS] = {write_protocol, write_nothing, write_plant, write_others};
    static TaskPlan plans[POOL];
    static const Schedule schedule = {.tasks = plans, .task_count = POOL};
    static Protocol protocols[POOL];
    static Block places[POOL];
    static char plants[POOL][16];
    CheckRandom random = check_random("stencils");
    for (size_t i = 0; i < POOL; i++) {
        protocols[i].schedule = &schedule;
        plans[i].timing = i % 2 ? TIMING_EVERY : TIMING_DAYS;
        snprintf(plants[i], sizeof plants[i], "plant %zu", i);
    }
    for (size_t r = 0; r < CHECK_COUNT(rooms); r++) {
        Stencils *stencils = stencils_new(*state, NULL, runs, rooms[r]);
        size_t drawn[4] = {0};
        for (int i = 0; i < 200000; i++) {
            drawn[check_below(&random, 4)] = check_below(&random, 20) ? check_below(&random, POOL) : 0;
            TaskDate date = {.task = (int)drawn[0]};
            WorkTask task = {.protocol = &protocols[drawn[1]],
                             .plant = plants[drawn[2]],
                             .place = drawn[3] ? &places[drawn[3]] : NULL,
                             .date = &date};
            const Stencil *stencil = stencils_of(stencils, &task);
            char wanted[80];
            snprintf(wanted, sizeof wanted, "%p%s%p %d", (const void *)task.protocol, task.plant,
                     (const void *)task.place, date.task);
            assert_int_equal(stencil_length(stencil), strlen(wanted));
            assert_memory_equal(stencil_run(stencil, 0).at, wanted, strlen(wanted));
            assert_int_equal(stencil_run(stencil, 1).length, 0);
            assert_true(slice_is(stencil_run(stencil, 2), task.plant));
            assert_int_equal(stencil->repeats, date.task % 2);
            assert_ptr_equal(stencils_of(stencils, &task)->text, stencil->text);
        }
    }
}

/* ------------------------------------------------------------------ a row, written plainly */

static void plain_cell(Buffer *out, Slice text)
{
    bool formula = text.length && strchr("=+-@\t\r", *text.at), quote = formula;
    for (size_t i = 0; i < text.length; i++) quote = quote || strchr(",\"\r\n", text.at[i]);
    if (quote) buffer_char(out, '"');
    if (formula) buffer_char(out, '\'');
    for (size_t i = 0; i < text.length; i++) buffer_print(out, text.at[i] == '"' ? "\"\"" : "%c", text.at[i]);
    buffer_text(out, quote ? "\"," : ",");
}

static void plain_day(Buffer *out, bool known, Day day)
{
    int year, month, of_month;
    if (known && day != DAY_NONE) {
        day_split(day, &year, &month, &of_month);
        buffer_print(out, "%04d-%02d-%02d", year, month, of_month);
    }
    buffer_char(out, ',');
}

static void plain_amount(Buffer *out, bool known, long long amount)
{
    if (known) buffer_print(out, "%lld", amount);
    buffer_char(out, ',');
}

static void plain_row(Arena *arena, Buffer *out, const WorkTask *task, bool translated, const Tongue *tongue)
{
    static const char *const states[] = {"coming", "due", "overdue", "done", "skipped", "missed"};
    const TaskDate *date = task->date;
    const Clause *move = block_clause(task->task, FIELD_ROW(MOVE_OF_TASK));
    const Clause *duty = block_clause(task->task, FIELD_ROW(DUTY_OF_TASK));
    buffer_print(out, "%.*s%s", SLICE_ARG(task->batch), task->path);
    if (task_repeats(task)) buffer_print(out, "#%d", date->number);
    buffer_print(out, ",%.*s,", SLICE_ARG(task->batch));
    plain_cell(out, slice_of(task->plant));
    buffer_print(out, "%s,%s,%s,", task->protocol->name->text,
                 task->stage->name ? task->stage->name->text : task->stage->type->spelling,
                 task->task->name->text);
    plain_amount(out, task_repeats(task), date->number);
    plain_day(out, true, date->date.on[RUN_EARLY]);
    plain_day(out, !date->watch, date->date.on[RUN_PLANNED]);
    plain_day(out, true, date->date.on[RUN_LATE]);
    plain_day(out, !date->watch, date->due.on[RUN_PLANNED]);
    buffer_print(out, "%s,%s,%s,", date->sure ? "yes" : "no", date->watch ? "yes" : "no",
                 states[date->state]);
    plain_day(out, true, date->recorded);
    buffer_print(out, ",%s,%s,", task->place ? task->place->name->text : "",
                 move ? move->reading->words[0].name->text : "");
    plain_amount(out, task->has_count, task->count);
    plain_amount(out, task->has_trays, task->trays);
    plain_amount(out, task->has_time, task->has_time ? minutes_of(task->time_low) : 0);
    plain_amount(out, task->has_time, task->has_time ? minutes_of(task->time_high) : 0);
    buffer_text(out, task->setting || clause_is(duty, "yes") ? "yes," : "no,");
    Buffer *cells = buffer_in_memory(arena);
    Slice setting = task->setting ? task->setting->reading->row->setting : (Slice){0};
    plain_cell(cells, task->setting ? setting : block_say(arena, task->task, (Slice){0}));
    bool other = tongue->language.length > 0;
    Slice say = other ? say_in(arena, task->task, tongue) : block_say(arena, task->task, (Slice){0});
    if (translated) plain_cell(cells, task->setting ? setting : say);
    Slice written = buffer_slice_of(cells);
    buffer_slice(out, (Slice){written.at, written.length - 1}); /* without the last comma */
    buffer_text(out, "\r\n");
}

/* ------------------------------------------------------------------ the two beside each other */

typedef struct Both {
    Sheet *sheet;
    Buffer *stencilled; /* emptied before each row */
    Arena *passing;
    bool translated;
    Tongue tongue;
    size_t rows, longest;
} Both;

static bool compare(void *to, const WorkTask *task)
{
    Both *both = to;
    ArenaMark mark = arena_mark(both->passing);
    buffer_clear(both->stencilled);
    assert_true(sheet_csv.task(both->sheet, task));
    Buffer *plain = buffer_in_memory(both->passing);
    plain_row(both->passing, plain, task, both->translated, &both->tongue);
    Slice got = buffer_slice_of(both->stencilled), wanted = buffer_slice_of(plain);
    if (!slice_equal(got, wanted))
        fail_msg("row %zu:\n%.*snot:\n%.*s", both->rows, SLICE_ARG(got), SLICE_ARG(wanted));
    both->rows++;
    if (got.length > both->longest) both->longest = got.length;
    arena_release(both->passing, mark);
    return true;
}

/* All tasks of blocks and tables. */
static Both compared(Load *load, SheetOptions options, size_t room)
{
    Arena *arena = load->arena;
    Both both = {.stencilled = buffer_in_memory(arena),
                 .passing = arena_new(check_exhausted),
                 .translated = options.language.length > 0};
    options.nursery = load->nursery;
    both.tongue = tongue_asked(&options);
    both.sheet = sheet_csv_begin(arena, both.stencilled, &options, room);
    Expansion *expansion = expansion_new(load->nursery, &options.filter, compare, &both, check_exhausted);
    assert_true(expansion_plan(expansion, plan_of_blocks(load->nursery)));
    for (size_t i = 0; i < load->table_count; i++) {
        PlanTable *table = plan_table_open(load->nursery, load->tables[i].name, load_read_table,
                                           &load->tables[i], check_exhausted);
        for (const Plan *plan; (plan = plan_table_next(table));) expansion_plan(expansion, plan);
        plan_table_close(table);
        close(load->tables[i].descriptor);
    }
    expansion_free(expansion);
    arena_free(both.passing);
    return both;
}

static SheetOptions options_of(Day today, const char *language)
{
    return (SheetOptions){.filter = {DAY_NONE, DAY_NONE, today, {0}, {0}}, .language = slice_of(language)};
}

/* ------------------------------------------------------------------ plans */

static void test_the_demo_is_written_as_plainly(void **state)
{
    static const char *const languages[] = {NULL, "en", "es"};
    const char *tests = getenv("HEELCUT_TESTS");
    const char *demo = arena_print(*state, "%s/../docs/demo", tests ? tests : "tests");
    Day today;
    assert_true(day_make(2027, 8, 1, &today));
    for (size_t i = 0; i < CHECK_COUNT(rooms); i++)
        for (size_t k = 0; k < CHECK_COUNT(languages); k++) {
            Arena *arena = arena_new(check_exhausted);
            Notes *notes = notes_new(arena, 1000);
            Load load = {.arena = arena, .notes = notes, .nursery = nursery_new(arena, notes)};
            load_paths(&load, &demo, 1);
            assert_false(notes_fatal(notes));
            assert_true(compared(&load, options_of(today, languages[k]), rooms[i]).rows > 1000);
            arena_free(arena);
        }
}

static Load nursery_of(Arena *arena, Slice source)
{
    Load load = {.arena = arena, .notes = notes_new(arena, 100)};
    load.nursery = nursery_new(arena, load.notes);
    Text *text = text_new(arena, "n.heel", source.at, (uint32_t)source.length, 1);
    nursery_add(load.nursery, syntax_read(arena, text, load.notes), false);
    nursery_finish(load.nursery);
    size_t count;
    Note *const *sorted = notes_sorted(load.notes, &count);
    for (size_t i = 0; i < count; i++)
        if (sorted[i]->severity == SEVERITY_ERROR) fail_msg("%s", sorted[i]->message);
    return load;
}

/* A hundred protocols with tasks of one name, batches in no order, of all
 * sizes, standing here and there, moved by a task, by the plan and by what was recorded. */
static Slice some_nursery(Arena *arena, CheckRandom *random)
{
    enum { PROTOCOLS = 100, PLACES = 5, BATCHES = 1000 };
    Buffer *source = buffer_in_memory(arena);
    buffer_text(source, "nursery small \"Small\" { language 1; sheets en, es }\n");
    for (int place = 0; place < PLACES; place++)
        buffer_print(source, "place s%d { enclosure bench }\n", place);
    for (int p = 0; p < PROTOCOLS; p++)
        buffer_print(source,
                     "variety v%d \"Variety, %d\" { species Exemplum primum }\n"
                     "protocol p%d { for Exemplum primum\n stage root { lasts 2 .. 4 weeks\n"
                     "task look { say \"Look, %d\"; say \"twice\"; say es \"=%d\"; every 1 week; duty yes }\n"
                     "task water { say \"\\\"Water\\\" %d\"; at day %d; takes 1 .. 2 min per tray }\n"
                     "task shift { say \"Shift\"; at day 9; move s%d; takes 7 s per cutting }\n"
                     "task cover { say \"Cover %d\"; when night-low < 1 C } }\n"
                     "stage grow { lasts 3 weeks; task tell { say \"Tell\"; every 6 days } } }\n",
                     p, p, p, p, p, p, p % 14, p % PLACES, p);
    for (int b = 0; b < BATCHES; b++) {
        Day stick = (Day)(20000 + check_below(random, 900));
        char text[DAY_TEXT];
        day_write(text, stick);
        unsigned digits = check_below(random, 7);
        buffer_print(source, "batch B%d { follow p%u; plant v%u; count %u; stick %s", b,
                     check_below(random, PROTOCOLS), check_below(random, 3),
                     1 + check_below(random, digits ? 10 * digits * digits * digits * digits : 1), text);
        if (check_below(random, 2)) buffer_print(source, "; trays %u", 1 + check_below(random, 2000));
        if (check_below(random, 4)) buffer_print(source, "; stands s%u", check_below(random, PLACES));
        if (!check_below(random, 4))
            buffer_print(source, "; stands s%u from grow", check_below(random, PLACES));
        buffer_text(source, " }\n");
        if (check_below(random, 4)) continue;
        day_write(text, stick);
        buffer_print(source, "record B%d { %s stuck 1\n", b, text);
        day_write(text, stick + 8);
        buffer_print(source, " %s done look 1\n %s moved s%u }\n", text, text, check_below(random, PLACES));
    }
    return buffer_slice_of(source);
}

static void test_any_plan_is_written_as_plainly(void **state)
{
    CheckRandom random = check_random("stencils");
    Slice source = some_nursery(*state, &random);
    size_t rows = 0;
    for (size_t i = 0; i < CHECK_COUNT(rooms); i++) {
        Arena *arena = arena_new(check_exhausted);
        Load load = nursery_of(arena, source);
        SheetOptions options = options_of(i % 2 ? (Day)20450 : DAY_NONE, i ? "es" : NULL);
        Both both = compared(&load, options, rooms[i]);
        assert_true(both.rows > 1000 * 6);
        assert_true(!rows || both.rows == rows);
        rows = both.rows;
        arena_free(arena);
    }
}

/* ------------------------------------------------------------------ long rows */

static void test_a_row_may_be_of_any_length(void **state)
{
    enum { LETTERS = 60000 };
    Arena *arena = *state;
    Buffer *source = buffer_in_memory(arena);
    buffer_text(source, "nursery small \"Small\" { language 1 }\nprotocol p { for Exemplum primum\n"
                        "stage root { lasts 4 weeks; task look { every 1 week");
    for (int i = 0; i < 3 * LETTERS; i++) {
        if (i % LETTERS == 0) buffer_text(source, i ? "\"; say \"" : "; say \"");
        buffer_char(source, (char)('a' + i % 26));
    }
    buffer_text(source, "\" } } }\nbatch B1 { follow p; stick 18 Jun 2027 }\n");
    for (size_t i = 0; i < CHECK_COUNT(rooms); i++) {
        Load load = nursery_of(arena, buffer_slice_of(source));
        Both both = compared(&load, options_of(DAY_NONE, NULL), rooms[i]);
        assert_true(both.rows > 2 && both.longest > 3 * LETTERS);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(test_no_stencil_is_taken_for_another),
        CHECK_WITH_ARENA(test_the_demo_is_written_as_plainly),
        CHECK_WITH_ARENA(test_any_plan_is_written_as_plainly),
        CHECK_WITH_ARENA(test_a_row_may_be_of_any_length),
    };
    return cmocka_run_group_tests_name("write/sheet_stencil", tests, NULL, NULL) != 0;
}
