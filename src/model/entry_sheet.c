/* A sheet of tasks that was filled in and sent back, as lines to be recorded.
 *
 * Of each row the day in `done` and what stands in `record` count: the task was done on that day, or left out
 * where `state` says skipped, and what was seen is a line of its own. Rows that say nothing are passed over;
 * columns that no sheet has are faults, since what stands in them would be lost. Cells are read where they
 * stand, so that a finding names row and column.
 */
#include "model/entry.h"

#include "base/vec.h"
#include "model/plan_table.h"
#include "syntax/read.h"

#include <string.h>

typedef enum SheetColumn {
#define COLUMN(id, name) COLUMN_##id,
#include "sheet.def"
#undef COLUMN
    SHEET_COLUMNS
} SheetColumn;

static const char *const column_name[SHEET_COLUMNS] = {
#define COLUMN(id, name) name,
#include "sheet.def"
#undef COLUMN
};

typedef struct SheetReader {
    Arena *arena;
    Notes *notes;
    const char *name;
    Slice left; /* bytes that the rows have not asked for yet */
    RowReader rows;
    Cell cells[PLAN_COLUMNS];
    size_t column_count;
    int at[SHEET_COLUMNS]; /* which cell; -1: no such column */
    VEC(Entry *) entries;
    /* the row in hand */
    Row row;
    const Text *text; /* made when a place in it is asked for */
} SheetReader;

/* ------------------------------------------------------------------ places */

static Span place_of(SheetReader *sheet, Slice part)
{
    if (!sheet->text)
        sheet->text = text_new(sheet->arena, sheet->name,
                               arena_copy(sheet->arena, sheet->row.bytes.at, sheet->row.bytes.length),
                               (uint32_t)sheet->row.bytes.length, sheet->row.line);
    uint32_t begin = (uint32_t)(part.at - sheet->row.bytes.at);
    return (Span){sheet->text, begin, begin + (uint32_t)part.length};
}

static Note *fault(SheetReader *sheet, Slice part, const char *name, const char *message)
{
    return notes_add(sheet->notes, SEVERITY_ERROR, name, place_of(sheet, part), "%s", message);
}

/* What a column says in this row, without quotes and blanks; empty without it. */
static Slice said(const SheetReader *sheet, SheetColumn column)
{
    int at = sheet->at[column];
    return at < 0 ? (Slice){"", 0} : cell_text(sheet->arena, &sheet->cells[at]);
}

static Slice bytes_of(const SheetReader *sheet, SheetColumn column)
{
    const Cell *cell = &sheet->cells[sheet->at[column]];
    return cell->quoted && cell->bytes.length >= 2 ? (Slice){cell->bytes.at + 1, cell->bytes.length - 2}
                                                   : cell->bytes;
}

/* ------------------------------------------------------------------ cells as values */

/* Doubled quotes are single in a text of its own, which keeps the row's line and not the column. */
static Span span_of(SheetReader *sheet, SheetColumn column)
{
    Slice text = said(sheet, column), bytes = bytes_of(sheet, column);
    if (!memchr(bytes.at, '"', bytes.length)) return place_of(sheet, bytes);
    Text *own = text_new(sheet->arena, sheet->name, arena_copy(sheet->arena, text.at, text.length),
                         (uint32_t)text.length, sheet->row.line);
    return (Span){own, 0, own->length};
}

/* The one part of a value, of this kind; NULL after telling what the column takes. */
static Part *read_part(SheetReader *sheet, SheetColumn column, Span span, PartKind kind, const char *takes)
{
    Value value;
    size_t before = notes_total(sheet->notes);
    bool read = syntax_read_value(sheet->arena, span.text, span, sheet->notes, &value);
    Part *part = read && value.first ? value.first->first->first : NULL;
    bool alone = part && !part->next && !value.first->next && !value.first->first->next;
    if (alone && part->kind == kind) return part;
    if (notes_total(sheet->notes) == before)
        notes_add(sheet->notes, SEVERITY_ERROR, "value", span, "%s takes %s", column_name[column], takes);
    return NULL;
}

/* Which of several: the number, and of a dial's setting its first day, which only the id tells
 * (B1/callus/mist/4). */
static Span number_span(SheetReader *sheet)
{
    if (said(sheet, COLUMN_NUMBER).length) return span_of(sheet, COLUMN_NUMBER);
    Span id = said(sheet, COLUMN_ID).length ? span_of(sheet, COLUMN_ID) : (Span){0};
    Slice text = span_slice(id);
    size_t digits = 0;
    while (digits < text.length && text.at[text.length - 1 - digits] >= '0' &&
           text.at[text.length - 1 - digits] <= '9')
        digits++;
    bool setting = digits && digits < text.length && text.at[text.length - 1 - digits] == '/';
    return setting ? (Span){id.text, id.end - (uint32_t)digits, id.end} : (Span){0};
}

/* ------------------------------------------------------------------ one row */

static Value value_of_parts(Arena *arena, Part *first, Span span)
{
    Mix *mix = ARENA_NEW(arena, Mix);
    mix->first = ARENA_NEW(arena, Phrase);
    mix->first->first = first;
    mix->first->span = mix->span = span;
    return (Value){mix, span};
}

static void add(SheetReader *sheet, const Value *batch, Day day, const Value *value, Slice words)
{
    Item line = {.kind = ITEM_DATED, .date = day, .value = *value, .span = value->span};
    Entry *entry = entry_new(sheet->arena, batch, &line);
    if (words.length) entry->words = words;
    entry->order = sheet->entries.count;
    VEC_PUSH(sheet->arena, &sheet->entries, entry);
}

/* `done look 2`: the words come from three cells, and each keeps its own place. */
static void add_task(SheetReader *sheet, const Value *batch, Day day)
{
    Verb verb =
        slice_is(said(sheet, COLUMN_STATE), verb_table[VERB_SKIPPED].spelling) ? VERB_SKIPPED : VERB_DONE;
    Span which = number_span(sheet);
    Part *task = read_part(sheet, COLUMN_TASK, span_of(sheet, COLUMN_TASK), PART_WORD, "the name of a task");
    Part *number = which.text ? read_part(sheet, COLUMN_NUMBER, which, PART_QUANTITY, "a number") : NULL;
    if (!task || (which.text && !number)) return;
    Part *first = ARENA_NEW(sheet->arena, Part);
    first->kind = PART_WORD;
    first->word = slice_of(verb_table[verb].spelling);
    first->span = place_of(sheet, bytes_of(sheet, COLUMN_DONE));
    first->next = task;
    task->next = number;
    Value value = value_of_parts(sheet->arena, first, task->span);
    const char *words = arena_print(
        sheet->arena, number ? "%s %.*s %.*s" : "%s %.*s", verb_table[verb].spelling, SLICE_ARG(task->word),
        number ? (int)number->quantity.digits.length : 0, number ? number->quantity.digits.at : "");
    add(sheet, batch, day, &value, slice_of(words));
}

static void add_seen(SheetReader *sheet, const Value *batch, Day day)
{
    Value value;
    Span span = span_of(sheet, COLUMN_RECORD);
    if (syntax_read_value(sheet->arena, span.text, span, sheet->notes, &value))
        add(sheet, batch, day, &value, (Slice){0});
}

/* The row of a trial says what was counted, and is done with that: its task is the trial and no task. */
static bool is_trial(SheetReader *sheet)
{
    const char *verb = verb_table[VERB_TRIAL].spelling;
    Slice task = said(sheet, COLUMN_TASK);
    size_t length = strlen(verb);
    if (!slice_starts(task, verb) || task.length <= length || task.at[length] != ' ') return false;
    if (said(sheet, COLUMN_RECORD).length) return true;
    Note *note = fault(sheet, bytes_of(sheet, COLUMN_TASK), "value",
                       "a trial is read by its counts: they go into the column record");
    note->instead = arena_print(sheet->arena, "%.*s: WAY 131 of 154, WAY 117 of 154", SLICE_ARG(task));
    return true;
}

/* A day is missing where something says that there was one. */
static bool lacks_day(SheetReader *sheet)
{
    if (said(sheet, COLUMN_DONE).length) return false;
    Slice state = said(sheet, COLUMN_STATE);
    bool did =
        slice_is(state, verb_table[VERB_DONE].spelling) || slice_is(state, verb_table[VERB_SKIPPED].spelling);
    if (said(sheet, COLUMN_RECORD).length || did)
        fault(sheet, bytes_of(sheet, did ? COLUMN_STATE : COLUMN_RECORD), "value",
              "the day on which this was is missing: it goes into the column done");
    return true;
}

static void take_said(SheetReader *sheet)
{
    if (lacks_day(sheet)) return;
    Part *name =
        read_part(sheet, COLUMN_BATCH, span_of(sheet, COLUMN_BATCH), PART_WORD, "the name of a batch");
    const Part *day = read_part(sheet, COLUMN_DONE, span_of(sheet, COLUMN_DONE), PART_DATE,
                                "a day: 9 Jul 2027 or 2027-07-09");
    if (!name || !day) return;
    Value batch = value_of_parts(sheet->arena, name, name->span);
    if (said(sheet, COLUMN_RECORD).length) add_seen(sheet, &batch, day->date);
    if (said(sheet, COLUMN_TASK).length && !is_trial(sheet)) add_task(sheet, &batch, day->date);
}

/* Cuts the row in hand into cells; false after telling why not. */
static bool cut(SheetReader *sheet, size_t room, size_t *count)
{
    RowFault row_fault = sheet->row.fault;
    size_t at = 0, refused = 0, fault_at = sheet->row.fault_at;
    const char *what = text_refuse(sheet->row.bytes.at, sheet->row.bytes.length, &at, &refused);
    if (what) {
        fault(sheet, (Slice){sheet->row.bytes.at + at, refused}, "syntax",
              arena_print(sheet->arena, "there is %s here", what));
        return false;
    }
    if (row_fault == ROW_GOOD)
        *count = row_cells(sheet->row.bytes, sheet->cells, room, &row_fault, &fault_at);
    if (row_fault == ROW_GOOD) return true;
    fault(sheet, (Slice){sheet->row.bytes.at + fault_at, sheet->row.bytes.length - fault_at}, "syntax",
          row_fault_text(row_fault));
    return false;
}

static void take_row(SheetReader *sheet)
{
    size_t count;
    sheet->text = NULL;
    if (!cut(sheet, sheet->column_count, &count)) return;
    if (count == sheet->column_count)
        take_said(sheet);
    else
        fault(sheet, sheet->row.bytes, "syntax",
              arena_print(sheet->arena, "there are %zu cells for %zu columns", count, sheet->column_count));
}

/* ------------------------------------------------------------------ the first row */

static int column_called(Slice name)
{
    for (int i = 0; i < SHEET_COLUMNS; i++)
        if (slice_is(name, column_name[i])) return i;
    return -1;
}

/* The task in another language, which says nothing here. */
static bool is_translation(Slice name)
{
    return slice_starts(name, "say_");
}

static void unknown_column(SheetReader *sheet, const Cell *cell, Slice name)
{
    Nearest nearest;
    nearest_start(&nearest, name);
    for (int i = 0; i < SHEET_COLUMNS; i++) nearest_try(&nearest, slice_of(column_name[i]));
    Note *note = fault(sheet, cell->bytes, "unknown-word",
                       arena_print(sheet->arena, "no sheet of tasks has a column '%.*s'", SLICE_ARG(name)));
    note->instead = nearest_found(&nearest)
                        ? arena_print(sheet->arena, "did you mean %.*s?", SLICE_ARG(nearest.best))
                        : "write what was seen into the column record, as in note \"two trays are dry\"";
}

static bool read_header(SheetReader *sheet)
{
    static const SheetColumn needed[] = {COLUMN_BATCH, COLUMN_DONE};
    size_t before = notes_total(sheet->notes);
    for (int i = 0; i < SHEET_COLUMNS; i++) sheet->at[i] = -1;
    if (!cut(sheet, PLAN_COLUMNS, &sheet->column_count)) return false;
    for (size_t i = 0; i < sheet->column_count; i++) {
        Slice name = cell_text(sheet->arena, &sheet->cells[i]);
        int column = column_called(name);
        if (column < 0 && !is_translation(name))
            unknown_column(sheet, &sheet->cells[i], name);
        else if (column >= 0 && sheet->at[column] >= 0)
            fault(sheet, sheet->cells[i].bytes, "duplicate",
                  arena_print(sheet->arena, "there are two columns called %.*s", SLICE_ARG(name)));
        else if (column >= 0)
            sheet->at[column] = (int)i;
    }
    for (size_t i = 0; i < sizeof needed / sizeof *needed; i++)
        if (sheet->at[needed[i]] < 0)
            fault(sheet, sheet->row.bytes, "syntax",
                  arena_print(sheet->arena, "no column is called %s; columns are parted by commas",
                              column_name[needed[i]]));
    return notes_total(sheet->notes) == before;
}

/* ------------------------------------------------------------------ the whole */

static ptrdiff_t give_bytes(void *from, char *to, size_t room)
{
    SheetReader *sheet = from;
    size_t count = sheet->left.length < room ? sheet->left.length : room;
    memcpy(to, sheet->left.at, count);
    sheet->left = (Slice){sheet->left.at + count, sheet->left.length - count};
    return (ptrdiff_t)count;
}

static void take_rows(SheetReader *sheet)
{
    bool headed = false, good = true;
    while (good && !rows_ended(&sheet->rows)) {
        rows_next_stretch(&sheet->rows);
        while (good && rows_next(&sheet->rows, &sheet->row)) {
            if (headed)
                take_row(sheet);
            else
                good = read_header(sheet);
            headed = true;
        }
    }
    if (!headed)
        notes_add(sheet->notes, SEVERITY_ERROR, "syntax", (Span){0},
                  "%s is empty; a sheet begins with a line that names its columns", sheet->name);
}

bool entries_of_sheet(Arena *arena, Notes *notes, const char *name, Slice bytes, ArenaExhausted *exhausted,
                      Entries *entries)
{
    static const char mark[] = "\xEF\xBB\xBF";
    SheetReader *sheet = ARENA_NEW(arena, SheetReader);
    size_t before = notes_total(notes), marked = slice_starts(bytes, mark) ? sizeof mark - 1 : 0;
    sheet->arena = arena;
    sheet->notes = notes;
    sheet->name = name;
    sheet->left = (Slice){bytes.at + marked, bytes.length - marked};
    rows_start(&sheet->rows, give_bytes, sheet, exhausted);
    take_rows(sheet);
    rows_free(&sheet->rows);
    *entries = (Entries){sheet->entries.at, sheet->entries.count};
    return notes_total(notes) == before;
}
