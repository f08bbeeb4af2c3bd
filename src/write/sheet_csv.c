/* Dated work as CSV (RFC 4180), a line a task, as it comes. What a task always says is quoted once and
 * copied; so are dates, which batches of one day share, and the plant, which neighbours do. */
#include "write/sheet_part.h"

#include <string.h>

enum { DATES_SLOTS = 1 << 12, DATES_ROOM = 80 };

/* The cells of a task that no batch changes. */
typedef struct Fragment {
    const Block *task; /* NULL: free */
    Slice head;        /* ,PROTOCOL,STAGE,TASK, */
    Slice move;        /* MOVE, */
    Slice tail;        /* ,DUTY,SAY[,SAY in the other language] */
} Fragment;

/* The cells from EARLIEST to DONE as they were written for the last task with the same hash. */
typedef struct DateCells {
    Day day[5]; /* earliest, planned, latest, due, done */
    bool sure, watch;
    TaskState state;
    unsigned length; /* 0: free */
    char text[DATES_ROOM];
} DateCells;

struct Sheet {
    Arena *arena;
    Buffer *out;
    Buffer *making;    /* what is kept is put together here */
    bool translated;   /* with a column for a language of its own */
    Slice language;    /* of that column; empty: the nursery's own */
    const char *plant; /* of the task before */
    Buffer *plant_cell;
    Fragment *fragments;  /* one for each task of a protocol, by its block; at most half of them taken */
    size_t fragment_room; /* a power of two */
    DateCells dates[DATES_SLOTS];
};

/* A text that begins like a formula gets an apostrophe, so that no program reckons it. */
static void write_cell(Buffer *out, Slice text)
{
    bool formula = text.length && strchr("=+-@\t\r", *text.at);
    bool quote = formula;
    for (size_t i = 0; i < text.length && !quote; i++) quote = strchr(",\"\r\n", text.at[i]) != NULL;
    if (!quote) {
        buffer_slice(out, text);
        return;
    }
    buffer_char(out, '"');
    if (formula) buffer_char(out, '\'');
    for (size_t i = 0; i < text.length; i++) {
        if (text.at[i] == '"') buffer_char(out, '"');
        buffer_char(out, text.at[i]);
    }
    buffer_char(out, '"');
}

static Slice keep(Sheet *sheet)
{
    Slice made = buffer_slice_of(sheet->making);
    Slice kept = {arena_copy(sheet->arena, made.at, made.length), made.length};
    buffer_clear(sheet->making);
    return kept;
}

static void make_fragment(Sheet *sheet, Fragment *fragment, const WorkTask *task)
{
    Buffer *out = sheet->making;
    const Clause *duty = block_clause(task->task, FIELD_ROW(DUTY_OF_TASK));
    fragment->task = task->task;
    buffer_print(out, ",%s,%s,%s,", task->protocol->name->text,
                 task->stage->name ? task->stage->name->text : task->stage->type->spelling,
                 task->task->name->text);
    fragment->head = keep(sheet);
    buffer_print(out, "%s,", move_name(task));
    fragment->move = keep(sheet);
    buffer_text(out, clause_is(duty, "yes") ? ",yes," : ",no,");
    write_cell(out, task_say(sheet->arena, task->task, (Slice){0}));
    if (sheet->translated) {
        buffer_char(out, ',');
        write_cell(out, task_say(sheet->arena, task->task, sheet->language));
    }
    buffer_text(out, "\r\n");
    fragment->tail = keep(sheet);
}

static void make_room(Sheet *sheet, const Nursery *nursery)
{
    size_t tasks = 0;
    for (size_t i = 0; i < nursery->protocol_count; i++) tasks += nursery->protocols[i].task_count;
    sheet->fragment_room = 64;
    while (sheet->fragment_room < 2 * tasks) sheet->fragment_room *= 2;
    sheet->fragments = ARENA_ARRAY(sheet->arena, Fragment, sheet->fragment_room);
}

static const Fragment *fragment_of(Sheet *sheet, const WorkTask *task)
{
    uint64_t hash = (uint64_t)(uintptr_t)task->task * UINT64_C(0x9e3779b97f4a7c15);
    size_t slot = (size_t)(hash >> 32) & (sheet->fragment_room - 1);
    while (sheet->fragments[slot].task && sheet->fragments[slot].task != task->task)
        slot = (slot + 1) & (sheet->fragment_room - 1);
    Fragment *fragment = &sheet->fragments[slot];
    if (!fragment->task) make_fragment(sheet, fragment, task);
    return fragment;
}

static Sheet *begin(Arena *arena, Buffer *out, const SheetOptions *options)
{
    Sheet *sheet = ARENA_NEW(arena, Sheet);
    sheet->arena = arena;
    sheet->out = out;
    sheet->making = buffer_in_memory(arena);
    sheet->plant_cell = buffer_in_memory(arena);
    make_room(sheet, options->nursery);
    sheet->translated = options->language.length > 0;
    if (!is_own_language(options->nursery, options->language)) sheet->language = options->language;
    if (options->spreadsheet) buffer_text(out, "\xef\xbb\xbf");
    buffer_text(out, "id,batch,plant,protocol,stage,task,number,earliest,planned,latest,due,sure,watch,state,"
                     "done,place,move,count,trays,"
                     "minutes_low,minutes_high,duty,say");
    if (options->language.length) {
        buffer_text(out, ",say_");
        buffer_slice(out, options->language);
    }
    buffer_text(out, "\r\n");
    return sheet;
}

static void write_day(Buffer *out, Day day)
{
    if (day != DAY_NONE) buffer_iso_day(out, day);
    buffer_char(out, ',');
}

static DateCells date_cells_of(const TaskDate *date)
{
    Day planned = date->watch ? DAY_NONE : date->date.on[RUN_PLANNED];
    Day due = date->watch ? DAY_NONE : date->due.on[RUN_PLANNED];
    return (DateCells){
        .day = {date->date.on[RUN_EARLY], planned, date->date.on[RUN_LATE], due, date->recorded},
        .sure = date->sure,
        .watch = date->watch,
        .state = date->state};
}

static bool date_cells_equal(const DateCells *a, const DateCells *b)
{
    return !memcmp(a->day, b->day, sizeof a->day) && a->sure == b->sure && a->watch == b->watch &&
           a->state == b->state;
}

static size_t date_cells_slot(const DateCells *dates)
{
    uint32_t hash = 0;
    for (size_t i = 0; i < sizeof dates->day / sizeof *dates->day; i++)
        hash = (hash ^ (uint32_t)dates->day[i]) * UINT32_C(0x9e3779b1);
    return hash >> 20; /* the best of its bits: as many as DATES_SLOTS takes */
}

static void make_date_cells(Sheet *sheet, DateCells *dates)
{
    Buffer *out = sheet->making;
    for (size_t i = 0; i < 4; i++) write_day(out, dates->day[i]);
    buffer_text(out, dates->sure ? "yes," : "no,");
    buffer_text(out, dates->watch ? "yes," : "no,");
    buffer_text(out, state_name[dates->state]);
    buffer_char(out, ',');
    write_day(out, dates->day[4]);
    Slice made = buffer_slice_of(out);
    dates->length = (unsigned)made.length;
    memcpy(dates->text, made.at, made.length);
    buffer_clear(out);
}

static void write_dates(Sheet *sheet, const TaskDate *date)
{
    DateCells wanted = date_cells_of(date);
    DateCells *kept = &sheet->dates[date_cells_slot(&wanted)];
    if (!kept->length || !date_cells_equal(kept, &wanted)) {
        *kept = wanted;
        make_date_cells(sheet, kept);
    }
    buffer_bytes(sheet->out, kept->text, kept->length);
}

/* Batches of one context share the text of their plant, so that the pointer tells whether it is another. */
static void write_plant(Sheet *sheet, const char *plant)
{
    if (plant != sheet->plant) {
        buffer_clear(sheet->plant_cell);
        write_cell(sheet->plant_cell, slice_of(plant));
        sheet->plant = plant;
    }
    buffer_slice(sheet->out, buffer_slice_of(sheet->plant_cell));
}

static void write_amount(Buffer *out, bool known, int64_t amount)
{
    if (known) buffer_integer(out, amount);
}

static bool task(Sheet *sheet, const WorkTask *task)
{
    Buffer *out = sheet->out;
    const Fragment *fragment = fragment_of(sheet, task);
    write_task_id(out, task);
    buffer_char(out, ',');
    buffer_slice(out, task->batch);
    buffer_char(out, ',');
    write_plant(sheet, task->plant);
    buffer_slice(out, fragment->head);
    write_amount(out, task_repeats(task), task->date->number);
    buffer_char(out, ',');
    write_dates(sheet, task->date);
    buffer_text(out, place_name(task));
    buffer_char(out, ',');
    buffer_slice(out, fragment->move);
    write_amount(out, task->has_count, task->count);
    buffer_char(out, ',');
    write_amount(out, task->has_trays, task->trays);
    buffer_char(out, ',');
    write_amount(out, task->has_time, task->has_time ? minutes_of(task->time_low) : 0);
    buffer_char(out, ',');
    write_amount(out, task->has_time, task->has_time ? minutes_of(task->time_high) : 0);
    buffer_slice(out, fragment->tail);
    return !buffer_failed(out);
}

static void end(Sheet *sheet, const WorkResult *result)
{
    (void)sheet;
    (void)result;
}

const SheetForm sheet_csv = {"csv", begin, task, end};
