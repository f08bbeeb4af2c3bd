/* Dated work as CSV (RFC 4180), a line a task, as it comes. What a task says in every batch of its plant and
 * place is a stencil; the batch, its amounts, numbers and dates go into the holes. */
#include "write/sheet_csv.h"

#include "base/digits.h"
#include "write/csv.h"
#include "write/sheet_part.h"
#include "write/sheet_stencil.h"

#include <stdio.h>
#include <string.h>

enum {
    STENCIL_ROOM = 2 << 20,
    DAY_SLOTS = 1 << 11, /* over five years */
    SMALL_AMOUNTS = 1000,
    STATES = STATE_MISSED + 1,
    CELL_ROOM = DAY_TEXT, /* the longest of them all, and the comma */
    HOLES = 12            /* beside the two of the batch */
};

/* A short cell and the comma behind it. */
typedef struct Cell {
    unsigned length;
    char text[CELL_ROOM];
} Cell;

typedef struct DayCell {
    Day day;
    Cell cell; /* of length 0: free */
} DayCell;

struct Sheet {
    Buffer *out;
    Buffer *say;     /* of a task whose stencil is made */
    bool translated; /* with a column for a language of its own */
    Tongue tongue;   /* of that column; may be none: the nursery's own */
    Stencils *stencils;
    Cell flags[2][2][STATES]; /* three cells in fact: sure, watch and state */
    Cell amounts[SMALL_AMOUNTS];
    DayCell days[DAY_SLOTS]; /* the last day of its remainder */
};

/* ------------------------------------------------------------------ what a stencil holds */

/* BATCH path NUMBER, BATCH task NUMBER, DATES place AMOUNTS text, where what is written small is a run. */
enum { RUN_PATH, RUN_TASK, RUN_PLACE, RUN_TEXT };

static void write_path(Sheet *sheet, Buffer *out, const WorkTask *task)
{
    (void)sheet;
    buffer_text(out, task->path);
    if (task_repeats(task)) buffer_char(out, '#');
}

/* Names need no quotes. */
static void write_name(Buffer *out, const char *name)
{
    buffer_text(out, name);
    buffer_char(out, ',');
}

static void write_task(Sheet *sheet, Buffer *out, const WorkTask *task)
{
    (void)sheet;
    buffer_char(out, ',');
    csv_text(out, slice_of(task->plant));
    buffer_char(out, ',');
    write_name(out, task->protocol->name->text);
    write_name(out, task->stage->name ? task->stage->name->text : task->stage->type->spelling);
    write_name(out, task->task->name->text);
}

static void write_place(Sheet *sheet, Buffer *out, const WorkTask *task)
{
    (void)sheet;
    write_name(out, place_name(task));
    write_name(out, move_name(task));
}

static void write_say(Sheet *sheet, Buffer *out, const WorkTask *task, const Tongue *tongue)
{
    buffer_clear(sheet->say);
    write_task_say(sheet->say, task, tongue);
    csv_text(out, buffer_slice_of(sheet->say));
}

static void write_text(Sheet *sheet, Buffer *out, const WorkTask *task)
{
    buffer_text(out, task_is_duty(task) ? "yes," : "no,");
    write_say(sheet, out, task, &(const Tongue){0});
    if (sheet->translated) {
        buffer_char(out, ',');
        write_say(sheet, out, task, &sheet->tongue);
    }
    buffer_text(out, "\r\n");
}

static StencilRun *const runs[STENCIL_RUNS] = {
    [RUN_PATH] = write_path, [RUN_TASK] = write_task, [RUN_PLACE] = write_place, [RUN_TEXT] = write_text};

/* ------------------------------------------------------------------ begin and end */

static void make_cell(Cell *cell, const char *text)
{
    cell->length = (unsigned)snprintf(cell->text, CELL_ROOM, "%s,", text);
}

static void make_cells(Arena *arena, Sheet *sheet)
{
    static const char *const word[] = {"no", "yes"};
    ArenaMark mark = arena_mark(arena);
    for (int amount = 0; amount < SMALL_AMOUNTS; amount++)
        make_cell(&sheet->amounts[amount], arena_print(arena, "%d", amount));
    for (int sure = 0; sure < 2; sure++)
        for (int watch = 0; watch < 2; watch++)
            for (int state = 0; state < STATES; state++)
                make_cell(&sheet->flags[sure][watch][state],
                          arena_print(arena, "%s,%s,%s", word[sure], word[watch], state_name[state]));
    arena_release(arena, mark);
}

static const char *const columns[] = {
#define COLUMN(id, name) name,
#include "sheet.def"
#undef COLUMN
};

Sheet *sheet_csv_begin(Arena *arena, Buffer *out, const SheetOptions *options, size_t room)
{
    Sheet *sheet = ARENA_NEW(arena, Sheet);
    sheet->out = out;
    sheet->say = buffer_in_memory(arena);
    sheet->stencils = stencils_new(arena, sheet, runs, room);
    make_cells(arena, sheet);
    sheet->translated = options->language.length > 0;
    sheet->tongue = tongue_asked(options);
    if (options->spreadsheet) buffer_text(out, "\xef\xbb\xbf");
    for (size_t i = 0; i < sizeof columns / sizeof *columns; i++) {
        if (i) buffer_char(out, ',');
        buffer_text(out, columns[i]);
    }
    if (options->language.length) {
        buffer_text(out, ",say_");
        buffer_slice(out, options->language);
    }
    buffer_text(out, "\r\n");
    return sheet;
}

static Sheet *begin(Arena *arena, Buffer *out, const SheetOptions *options)
{
    return sheet_csv_begin(arena, out, options, STENCIL_ROOM);
}

static void end(Sheet *sheet, const WorkResult *result)
{
    (void)sheet;
    (void)result;
}

/* ------------------------------------------------------------------ a row */

static char *put(char *at, Slice text)
{
    memcpy(at, text.at, text.length);
    return at + text.length;
}

static char *put_cell(char *at, const Cell *cell)
{
    memcpy(at, cell->text, CELL_ROOM); /* of one size for all, which is quicker; the rest is written over */
    return at + cell->length;
}

static char *put_nothing(char *at)
{
    *at = ',';
    return at + 1;
}

static char *put_amount(const Sheet *sheet, char *at, bool known, int64_t amount)
{
    if (!known) return put_nothing(at);
    if (amount >= 0 && amount < SMALL_AMOUNTS) return put_cell(at, &sheet->amounts[amount]);
    return put_nothing(at + digits_write_signed(at, amount));
}

static const Cell no_cell = {.text = ",", .length = 1};

static void make_day(DayCell *slot, Day day)
{
    size_t length = day_write_iso(slot->cell.text, day);
    slot->cell.text[length] = ',';
    slot->cell.length = (unsigned)length + 1;
    slot->day = day;
}

static const Cell *day_cell(Sheet *sheet, Day day)
{
    if (day == DAY_NONE) return &no_cell;
    DayCell *slot = &sheet->days[(uint32_t)day % DAY_SLOTS];
    if (slot->day != day || !slot->cell.length) make_day(slot, day);
    return &slot->cell;
}

/* Neighbouring dates are often one day, which is looked for once. */
static char *put_dates(Sheet *sheet, char *at, const TaskDate *date)
{
    Day early = date->date.on[RUN_EARLY], planned = date->date.on[RUN_PLANNED],
        late = date->date.on[RUN_LATE];
    Day due = date->due.on[RUN_PLANNED];
    const Cell *first = day_cell(sheet, early);
    const Cell *middle = date->watch ? &no_cell : planned == early ? first : day_cell(sheet, planned);
    at = put_cell(at, first);
    at = put_cell(at, middle);
    at = put_cell(at, late == early ? first : day_cell(sheet, late));
    at = put_cell(at, date->watch ? &no_cell : due == planned ? middle : day_cell(sheet, due));
    at = put_cell(at, &sheet->flags[date->sure][date->watch][date->state]);
    at = put_cell(at, day_cell(sheet, date->recorded));
    return put_nothing(at); /* what was seen, to be filled in */
}

static char *put_amounts(const Sheet *sheet, char *at, const WorkTask *task)
{
    at = put_amount(sheet, at, task->has_count, task->count);
    at = put_amount(sheet, at, task->has_trays, task->trays);
    if (!task->has_time) return put_nothing(put_nothing(at));
    int64_t low = minutes_of(task->time_low);
    at = put_amount(sheet, at, true, low);
    return put_amount(sheet, at, true,
                      number_equal(task->time_low, task->time_high) ? low : minutes_of(task->time_high));
}

static bool write_row(Sheet *sheet, const WorkTask *task)
{
    const Stencil *stencil = stencils_of(sheet->stencils, task);
    char *at = buffer_room(sheet->out, 2 * task->batch.length + stencil_length(stencil) + HOLES * CELL_ROOM);
    at = put(at, task->batch);
    at = put(at, stencil_run(stencil, RUN_PATH));
    at = put_amount(sheet, at, stencil->repeats, task->date->number);
    at = put(at, task->batch);
    at = put(at, stencil_run(stencil, RUN_TASK));
    at = put_amount(sheet, at, stencil->repeats, task->date->number);
    at = put_dates(sheet, at, task->date);
    at = put(at, stencil_run(stencil, RUN_PLACE));
    at = put_amounts(sheet, at, task);
    at = put(at, stencil_run(stencil, RUN_TEXT));
    buffer_written(sheet->out, at);
    return !buffer_failed(sheet->out);
}

const SheetForm sheet_csv = {begin, write_row, end};
