/* Dated work as a calendar (RFC 5545): a whole-day event a task, no recurrence.
 *
 * The UID is the task's id and outlives every change of dates and text. Given the last calendar, an event
 * that says the same keeps its SEQUENCE, one that changed counts on, and one that is gone is written as
 * cancelled, so that whoever has it takes it out.
 */
#include "write/calendar_previous.h"
#include "write/sheet_list.h"
#include "write/sheet_part.h"

#include <string.h>

enum { LINE_OCTETS = 75 };

struct Sheet {
    Buffer *out;
    Buffer *line; /* one content line, before it is folded */
    const SheetOptions *options;
    Tongue tongue;
    PastCalendar past;
    SheetList list;
    int64_t stamp; /* seconds since 1970 */
};

/* ------------------------------------------------------------------ lines */

/* Writes the line that was put together, folded so that no piece is longer than 75 octets, and neither a
 * letter nor an escape is cut. */
static void end_line(Sheet *sheet)
{
    Slice line = buffer_slice_of(sheet->line);
    size_t room = LINE_OCTETS;
    while (line.length > room) {
        size_t cut = room;
        while (cut > 1 && ((unsigned char)line.at[cut] & 0xc0) == 0x80) cut--;
        size_t strokes = 0; /* an odd number of them before the cut: the last one escapes what follows */
        while (strokes < cut && line.at[cut - 1 - strokes] == '\\') strokes++;
        if (strokes % 2) cut--;
        buffer_bytes(sheet->out, line.at, cut);
        buffer_text(sheet->out, "\r\n ");
        line = (Slice){line.at + cut, line.length - cut};
        room = LINE_OCTETS - 1; /* the blank counts */
    }
    buffer_slice(sheet->out, line);
    buffer_text(sheet->out, "\r\n");
    buffer_clear(sheet->line);
}

static void plain_line(Sheet *sheet, const char *text)
{
    buffer_text(sheet->line, text);
    end_line(sheet);
}

static void write_text(Buffer *out, Slice text)
{
    for (size_t i = 0; i < text.length; i++) {
        unsigned char c = (unsigned char)text.at[i];
        if (c == '\n') {
            buffer_text(out, "\\n");
            continue;
        }
        if (c < 0x20 || c == 0x7f) continue;
        if (strchr("\\;,", c)) buffer_char(out, '\\');
        buffer_char(out, (char)c);
    }
}

static void write_date(Buffer *out, Day day)
{
    int year, month, of_month;
    day_split(day, &year, &month, &of_month);
    buffer_print(out, "%04d%02d%02d", year, month, of_month);
}

static void write_stamp(Sheet *sheet)
{
    enum { DAY_SECONDS = 86400 };
    int64_t days = sheet->stamp / DAY_SECONDS, seconds = sheet->stamp % DAY_SECONDS;
    buffer_text(sheet->line, "DTSTAMP:");
    write_date(sheet->line, (Day)days);
    buffer_print(sheet->line, "T%02d%02d%02dZ", (int)(seconds / 3600), (int)(seconds / 60 % 60),
                 (int)(seconds % 60));
    end_line(sheet);
}

/* ------------------------------------------------------------------ one event */

static void write_uid(Sheet *sheet, Buffer *out, const WorkTask *work)
{
    const Block *self = sheet->options->nursery->self;
    write_task_id(out, work);
    buffer_char(out, '@');
    buffer_text(out, self ? self->name->text : "nursery");
}

static void write_summary(Buffer *out, const SheetTask *task, const Tongue *tongue)
{
    write_text(out, task->work.batch);
    buffer_text(out, ": ");
    write_named(out, tongue, task->work.task->name->text, FORM_WORD);
    if (task->work.setting) {
        buffer_text(out, ": ");
        write_text(out, task_setting(&task->work));
    }
    if (task->date.state == STATE_DONE || task->date.state == STATE_SKIPPED)
        buffer_print(out, " (%s)", worded(tongue->catalogue, state_name[task->date.state]));
}

static void write_caution(Buffer *out, Slice text)
{
    if (!text.length) return;
    buffer_text(out, "\\n! ");
    write_text(out, text);
}

/* The nursery's own; or before each its translation, or that there is none. */
static void write_cautions(Buffer *out, const WorkTask *work, const Tongue *tongue)
{
    Slice own, other;
    for (size_t i = 0; i < task_block_count(work); i++)
        for (size_t n = 0; caution_pair(task_block(work, i), tongue, n, &own, &other); n++) {
            write_caution(out, other);
            if (!other.length && tongue->language.length) {
                buffer_text(out, "\\n! ");
                write_missing(out, tongue);
            }
            write_caution(out, own);
        }
}

/* What to do; in another language alone, or marked where that lacks it. */
static void write_say(Sheet *sheet, Buffer *out, const WorkTask *work)
{
    const Tongue *tongue = &sheet->tongue;
    if (work->setting || !tongue->language.length) {
        write_text(out,
                   work->setting ? task_setting(work) : block_say(sheet->list.arena, work->task, (Slice){0}));
        return;
    }
    Slice other = say_in(sheet->list.arena, work->task, tongue);
    write_text(out, other);
    if (other.length && say_in_is_whole(work->task, tongue)) return;
    if (!other.length) write_missing(out, tongue);
    buffer_text(out, "\\n");
    write_text(out, block_say(sheet->list.arena, work->task, (Slice){0}));
}

static void write_description(Sheet *sheet, Buffer *out, const SheetTask *task)
{
    const Tongue *tongue = &sheet->tongue;
    const Catalogue *words = tongue->catalogue;
    write_say(sheet, out, &task->work);
    buffer_print(out, "\\n%s", worded(words, "Earliest "));
    write_tongue_day(out, tongue, task->date.date.on[RUN_EARLY]);
    buffer_print(out, "\\%s", worded(words, ", at the latest "));
    write_tongue_day(out, tongue, task->date.date.on[RUN_LATE]);
    buffer_char(out, '.');
    if (!task->date.sure && !task->date.watch)
        buffer_print(out, "\\n%s", worded(words, "Only if the batch is still in this stage."));
    write_cautions(out, &task->work, tongue);
}

static uint64_t hash_of(Slice text)
{
    uint64_t hash = UINT64_C(0xcbf29ce484222325);
    for (size_t i = 0; i < text.length; i++)
        hash = (hash ^ (unsigned char)text.at[i]) * UINT64_C(0x100000001b3);
    return hash;
}

static void write_days(Sheet *sheet, Day first, Day last)
{
    buffer_text(sheet->line, "DTSTART;VALUE=DATE:");
    write_date(sheet->line, first);
    end_line(sheet);
    buffer_text(sheet->line, "DTEND;VALUE=DATE:");
    write_date(sheet->line, last + 1); /* the end is the first day that is free again */
    end_line(sheet);
}

/* What an event says, without its identity: dates, place, title, text, state. */
static uint64_t content_of(Sheet *sheet, const SheetTask *task, Day first, Day last)
{
    write_date(sheet->line, first);
    write_date(sheet->line, last);
    buffer_text(sheet->line, place_name(&task->work));
    write_summary(sheet->line, task, &sheet->tongue);
    write_description(sheet, sheet->line, task);
    uint64_t hash = hash_of(buffer_slice_of(sheet->line));
    buffer_clear(sheet->line);
    return hash;
}

static int64_t sequence_of(Sheet *sheet, Slice uid, uint64_t content)
{
    PastEvent *past = past_event(&sheet->past, uid);
    if (!past) return 0;
    past->seen = true;
    return past->hash == content && !past->cancelled ? past->sequence : past->sequence + 1;
}

static void write_event(Sheet *sheet, const SheetTask *task)
{
    Day first = sheet_day(task), last = task->date.watch ? task->date.date.on[RUN_LATE] : first;
    uint64_t content = content_of(sheet, task, first, last);
    plain_line(sheet, "BEGIN:VEVENT");
    write_uid(sheet, sheet->line, &task->work);
    int64_t sequence = sequence_of(sheet, buffer_slice_of(sheet->line), content);
    buffer_clear(sheet->line);
    buffer_text(sheet->line, "UID:");
    write_uid(sheet, sheet->line, &task->work);
    end_line(sheet);
    write_stamp(sheet);
    buffer_print(sheet->line, "SEQUENCE:%lld", (long long)sequence);
    end_line(sheet);
    write_days(sheet, first, last);
    buffer_text(sheet->line, "SUMMARY:");
    write_summary(sheet->line, task, &sheet->tongue);
    end_line(sheet);
    buffer_text(sheet->line, "DESCRIPTION:");
    write_description(sheet, sheet->line, task);
    end_line(sheet);
    if (task->work.place) {
        buffer_print(sheet->line, "LOCATION:%s", place_name(&task->work));
        end_line(sheet);
    }
    plain_line(sheet, "TRANSP:TRANSPARENT");
    buffer_print(sheet->line, "X-HEELCUT-HASH:%016llx", (unsigned long long)content);
    end_line(sheet);
    plain_line(sheet, "END:VEVENT");
}

/* Whether this run asked for what an event of last time is about: only then has it gone when it is not here.
 * Its UID begins with its batch. */
static bool was_asked_for(const Sheet *sheet, const PastEvent *past)
{
    const WorkFilter *filter = &sheet->options->filter;
    Slice batch = filter->batch;
    if (filter->from != DAY_NONE && past->end <= filter->from) return false;
    if (filter->to != DAY_NONE && past->start > filter->to) return false;
    if (filter->place.length && !slice_equal(past->location, filter->place)) return false;
    return !batch.length || (past->uid.length > batch.length && past->uid.at[batch.length] == '/' &&
                             slice_equal((Slice){past->uid.at, batch.length}, batch));
}

/* What the last calendar had and this one has not; once cancelled it stays so, and its number stays. */
static void write_cancelled(Sheet *sheet, const PastEvent *past)
{
    if (past->seen || !was_asked_for(sheet, past)) return;
    plain_line(sheet, "BEGIN:VEVENT");
    buffer_text(sheet->line, "UID:");
    buffer_slice(sheet->line, past->uid);
    end_line(sheet);
    write_stamp(sheet);
    buffer_print(sheet->line, "SEQUENCE:%lld", (long long)past->sequence + !past->cancelled);
    end_line(sheet);
    write_days(sheet, past->start, past->end - 1);
    buffer_text(sheet->line, "SUMMARY:");
    buffer_slice(sheet->line, past->summary);
    end_line(sheet);
    if (past->location.length) {
        buffer_text(sheet->line, "LOCATION:");
        buffer_slice(sheet->line, past->location);
        end_line(sheet);
    }
    plain_line(sheet, "STATUS:CANCELLED");
    buffer_print(sheet->line, "X-HEELCUT-HASH:%016llx", (unsigned long long)past->hash);
    end_line(sheet);
    plain_line(sheet, "END:VEVENT");
}

/* ------------------------------------------------------------------ the whole */

static int in_order(const void *a, const void *b)
{
    const SheetTask *x = a, *y = b;
    if (sheet_day(x) != sheet_day(y)) return sheet_day(x) < sheet_day(y) ? -1 : 1;
    return x->order < y->order ? -1 : x->order > y->order;
}

static Sheet *begin(Arena *arena, Buffer *out, const SheetOptions *options)
{
    Sheet *sheet = ARENA_NEW(arena, Sheet);
    sheet->out = out;
    sheet->line = buffer_in_memory(arena);
    sheet->options = options;
    sheet->tongue = tongue_asked(options);
    sheet->past = past_calendar_read(arena, options->previous);
    sheet->list.arena = arena;
    sheet->stamp = options->stamp;
    return sheet;
}

static bool task(Sheet *sheet, const WorkTask *task)
{
    return sheet_list_add(&sheet->list, task);
}

static void end(Sheet *sheet, const WorkResult *result)
{
    (void)result;
    SheetList *list = &sheet->list;
    sheet_list_sort(list, in_order);
    plain_line(sheet, "BEGIN:VCALENDAR");
    plain_line(sheet, "VERSION:2.0");
    plain_line(sheet, "PRODID:-//heelcut//tasks//EN");
    plain_line(sheet, "CALSCALE:GREGORIAN");
    for (size_t i = 0; i < list->tasks.count; i++) write_event(sheet, &list->tasks.at[i]);
    if (list->left_out) /* then what is not here need not be gone */
        notes_add(sheet->options->nursery->notes, SEVERITY_ERROR, "not-computed", (Span){0},
                  "a calendar holds %d tasks, and %llu more are left out; ask for fewer days", SHEET_TASKS,
                  (unsigned long long)list->left_out);
    for (size_t i = 0; i < sheet->past.count && !list->left_out; i++)
        write_cancelled(sheet, &sheet->past.at[i]);
    plain_line(sheet, "END:VCALENDAR");
}

const SheetForm sheet_calendar = {begin, task, end};
