/* Dated work for the hands that do it: by day, by place, by task; what to do, why, what to watch out for, and
 * a line to write the count.
 *
 * A task that several batches have on one day in one place is told once, with its batches under it. Work that
 * the weather decides stands at the end, with the days between which to watch.
 */
#include "write/sheet_list.h"
#include "write/sheet_part.h"

#include "base/columns.h"
#include "base/vec.h"

#include <string.h>

enum { SHEET_WIDTH = 78 };

struct Sheet {
    Arena *arena;
    Buffer *out;
    const SheetOptions *options;
    Slice language;
    SheetList list;
    const WorkResult *result; /* once all tasks are there */
};

/* ------------------------------------------------------------------ order */

static int compare_text(const char *a, const char *b)
{
    int order = strcmp(a, b);
    return order < 0 ? -1 : order > 0;
}

static bool in_stage(const SheetTask *task)
{
    return task->work.stage->type->kind == BLOCK_STAGE;
}

/* Where a task, or the line of a setting, is written. */
static const Item *written(const SheetTask *task)
{
    return task->work.setting ? task->work.setting->item : task->work.task->item;
}

/* A task that several protocols have from one practice is the same task. */
static int compare_tasks(const SheetTask *x, const SheetTask *y)
{
    Span a = written(x)->span, b = written(y)->span;
    int order = compare_text(x->work.task->name->text, y->work.task->name->text);
    if (!order) order = compare_text(a.text->name, b.text->name);
    return order ? order : a.begin < b.begin ? -1 : a.begin > b.begin;
}

/* The work of taking and sticking first, protocol by protocol in its order on paper; then what is looked
 * after, task by task. */
static int in_order(const void *a, const void *b)
{
    const SheetTask *x = a, *y = b;
    if (x->date.watch != y->date.watch) return x->date.watch ? 1 : -1;
    if (sheet_day(x) != sheet_day(y)) return sheet_day(x) < sheet_day(y) ? -1 : 1;
    int order = compare_text(place_name(&x->work), place_name(&y->work));
    if (!order && in_stage(x) != in_stage(y)) order = in_stage(x) ? 1 : -1;
    if (!order && in_stage(x)) order = compare_tasks(x, y);
    if (!order) order = compare_text(x->work.protocol->name->text, y->work.protocol->name->text);
    if (!order && x->date.task != y->date.task) order = x->date.task < y->date.task ? -1 : 1;
    if (!order) order = x->order < y->order ? -1 : x->order > y->order;
    return order;
}

/* A protocol may have added to what its practice says: then the task is not told with the others'. */
static bool reads_alike(const Block *a, const Block *b)
{
    const Clause *x = a->clauses, *y = b->clauses;
    while (x && y && x->item == y->item && x->reading == y->reading) {
        x = x->next;
        y = y->next;
    }
    const Block *p = a->blocks, *q = b->blocks; /* what to do at which count */
    while (p && q && p->item == q->item) {
        p = p->next;
        q = q->next;
    }
    return !x && !y && !p && !q && a->item == b->item;
}

static bool same_task(const SheetTask *a, const SheetTask *b)
{
    if (a->work.setting || b->work.setting)
        return a->work.setting && b->work.setting && written(a) == written(b) && in_stage(a) == in_stage(b);
    return a->work.task == b->work.task ||
           (in_stage(a) && in_stage(b) && reads_alike(a->work.task, b->work.task));
}

/* ------------------------------------------------------------------ lines */

/* Text broken between words, every line behind `indent` blanks, the first behind `lead`. */
static void write_wrapped(Buffer *out, size_t indent, const char *lead, Slice text)
{
    size_t column = indent + strlen(lead);
    buffer_spaces(out, indent);
    buffer_text(out, lead);
    for (size_t at = 0; at < text.length;) {
        size_t end = at;
        while (end < text.length && text.at[end] != ' ' && text.at[end] != '\n') end++;
        size_t length = text_columns((Slice){text.at + at, end - at});
        bool first = column == indent + strlen(lead);
        if (!first && column + 1 + length > SHEET_WIDTH) {
            buffer_char(out, '\n');
            buffer_spaces(out, indent + strlen(lead));
            column = indent + strlen(lead);
            first = true;
        }
        if (!first) buffer_char(out, ' ');
        buffer_escaped(out, (Slice){text.at + at, end - at});
        column += length + !first;
        at = end;
        while (at < text.length && (text.at[at] == ' ' || text.at[at] == '\n')) at++;
    }
    buffer_char(out, '\n');
}

/* The place of a text that the second language lacks: nobody is to think that there is nothing to read. */
static void write_untranslated(const Sheet *sheet, size_t indent, const char *lead)
{
    buffer_spaces(sheet->out, indent);
    buffer_print(sheet->out, "%s[", lead);
    buffer_escaped(sheet->out, sheet->language);
    buffer_text(sheet->out, ": no translation]\n");
}

/* The n-th of the one language and the n-th of the other belong together; where one of them has fewer, what
 * the other tells is told all the same. */
static void write_cautions(const Sheet *sheet, const Block *block, size_t indent)
{
    for (size_t n = 0;; n++) {
        const Clause *own = block_caution(block, (Slice){0}, n);
        const Clause *other = sheet->language.length ? block_caution(block, sheet->language, n) : NULL;
        if (!own && !other) return;
        if (own) write_wrapped(sheet->out, indent, "! ", own->reading->text);
        if (other)
            write_wrapped(sheet->out, indent, "! ", other->reading->text);
        else if (sheet->language.length)
            write_untranslated(sheet, indent, "! ");
    }
}

/* What to do, in both languages. */
static void write_say(const Sheet *sheet, const Block *block, size_t indent)
{
    Slice own = block_say(sheet->arena, block, (Slice){0});
    Slice other = sheet->language.length ? block_say(sheet->arena, block, sheet->language) : own;
    if (own.length) write_wrapped(sheet->out, indent, "", own);
    if (sheet->language.length && other.length)
        write_wrapped(sheet->out, indent, "", other);
    else if (sheet->language.length)
        write_untranslated(sheet, indent, "");
}

static void write_underlined(Buffer *out, const char *text, size_t indent, char line)
{
    buffer_spaces(out, indent);
    buffer_escaped(out, slice_of(text));
    buffer_char(out, '\n');
    buffer_spaces(out, indent);
    for (size_t i = text_columns(slice_of(text)); i > 0; i--) buffer_char(out, line);
    buffer_char(out, '\n');
}

/* ------------------------------------------------------------------ one task, and its batches */

static void write_hours(Buffer *out, const Block *task)
{
    const Clause *daily = block_clause(task, FIELD_ROW(DAILY));
    if (!daily || !daily->reading) return;
    buffer_text(out, ", at ");
    buffer_escaped(out, daily->reading->written);
}

static void write_condition(const Sheet *sheet, const Block *block, const char *lead)
{
    const Clause *when = block_clause(block, FIELD_ROW(WHEN_OF_TASK));
    if (when && when->item->condition)
        write_wrapped(sheet->out, 4, lead, span_slice(when->item->condition->span));
}

static void write_because(const Sheet *sheet, const WorkTask *work)
{
    Slice because = task_because(work);
    if (because.at) write_wrapped(sheet->out, 4, "because ", because);
}

static void write_says(const Sheet *sheet, const WorkTask *work)
{
    const Block *task = work->task;
    write_say(sheet, task, 4);
    write_because(sheet, work);
    const Clause *sign = block_clause(task, FIELD_ROW(SIGN));
    if (sign && sign->reading) write_wrapped(sheet->out, 4, "begin when: ", sign->reading->text);
    write_condition(sheet, task, "when ");
    for (const Block *act = task->blocks; act; act = act->next) {
        if (act->type->kind != BLOCK_ACT) continue;
        write_condition(sheet, act, "if ");
        write_say(sheet, act, 8);
    }
}

static void write_needs(const Sheet *sheet, const Block *task)
{
    const char *needs = task_words(sheet->arena, task, FIELD_ROW(NEEDS_OF_TASK)),
               *uses = task_words(sheet->arena, task, FIELD_ROW(USES));
    const char *cull = task_words(sheet->arena, task, FIELD_ROW(CULL)),
               *move = task_words(sheet->arena, task, FIELD_ROW(MOVE_OF_TASK));
    if (needs) buffer_print(sheet->out, "    who: somebody who can %s\n", needs);
    if (uses) buffer_print(sheet->out, "    with: %s\n", uses);
    if (cull) buffer_print(sheet->out, "    throw out: %s\n", cull);
    if (move) buffer_print(sheet->out, "    goes to: %s\n", move);
}

static void write_amounts(Buffer *out, const WorkTask *work)
{
    if (work->has_count) buffer_print(out, ", %lld", (long long)work->count);
    if (work->has_count && work->has_trays)
        buffer_print(out, " in %lld %s", (long long)work->trays,
                     work->trays == 1 ? per_word(PER_TRAYS) : FIELD_ROW(TRAYS)->spelling);
    if (!work->has_time) return;
    int64_t low = minutes_of(work->time_low), high = minutes_of(work->time_high);
    if (low == high)
        buffer_print(out, "; about %lld min", (long long)low);
    else
        buffer_print(out, "; about %lld to %lld min", (long long)low, (long long)high);
}

/* The three dates, where they are not one. */
static void write_spread(Buffer *out, const SheetTask *task)
{
    const Dates *dates = &task->date.date;
    char first[DAY_TEXT], last[DAY_TEXT];
    day_write(first, dates->on[RUN_EARLY]);
    day_write(last, dates->on[RUN_LATE]);
    if (task->date.watch) {
        buffer_print(out, "; from %s, at the latest %s", first, last);
    } else if (dates->on[RUN_EARLY] != dates->on[RUN_LATE]) {
        buffer_print(out, "; earliest %s, latest %s", first, last);
    }
    if (!task->date.sure && !task->date.watch)
        buffer_print(out, "; only if still in %s",
                     task->work.stage->name ? task->work.stage->name->text : "it");
}

static void write_state(Buffer *out, const TaskDate *date)
{
    char day[DAY_TEXT];
    if (date->state == STATE_OVERDUE) buffer_text(out, "  OVERDUE");
    if (date->state == STATE_MISSED) buffer_text(out, "  missed");
    if (date->state != STATE_DONE && date->state != STATE_SKIPPED) return;
    day_write(day, date->recorded);
    buffer_print(out, "  %s %s", state_name[date->state], day);
}

static void write_count_line(const Sheet *sheet, const Block *task)
{
    static const FieldNumber counted[] = {FIELD_NUMBER_COUNT_OF_TASK, FIELD_NUMBER_MEASURE};
    for (size_t f = 0; f < sizeof counted / sizeof *counted; f++) {
        const Clause *clause = block_clause(task, &field_table[counted[f]]);
        if (!clause || !clause->reading) continue;
        buffer_text(sheet->out, "          ");
        for (size_t i = 0; i < clause->reading->word_count; i++)
            buffer_print(sheet->out, "%s%s ____", i ? "  " : "", clause->reading->words[i].name->text);
        buffer_text(sheet->out, clause->reading->of_a_sample ? "  of a sample of ____\n" : "\n");
    }
}

static void write_batch(const Sheet *sheet, const SheetTask *task)
{
    Buffer *out = sheet->out;
    buffer_text(out, "    [ ] ");
    buffer_slice(out, task->work.batch);
    if (*task->work.plant) {
        buffer_text(out, "  ");
        buffer_escaped(out, slice_of(task->work.plant));
    }
    write_amounts(out, &task->work);
    write_spread(out, task);
    write_state(out, &task->date);
    if (task->date.unopened) buffer_text(out, "  (a closed day, and no open one near)");
    if (task->date.unattended) buffer_text(out, "  (nobody is there that day)");
    buffer_char(out, '\n');
    write_count_line(sheet, task->work.task);
}

/* "mist: 3 s every 20 min by day  (wean) (duty)": all that there is to know is in the head. */
static void write_setting(const Sheet *sheet, const SheetTask *task)
{
    const WorkTask *work = &task->work;
    const char *stage = in_stage(task) ? arena_print(sheet->arena, " (%s)", work->stage->name->text) : "";
    buffer_char(sheet->out, '\n');
    write_wrapped(sheet->out, 2, "* ",
                  slice_of(arena_print(sheet->arena, "%s: %.*s%s (duty)", work->task->name->text,
                                       SLICE_ARG(task_setting(work)), stage)));
    write_because(sheet, work);
}

static void write_task(const Sheet *sheet, const SheetTask *task)
{
    Buffer *out = sheet->out;
    const WorkTask *work = &task->work;
    buffer_print(out, "\n  * %s", work->task->name->text);
    write_hours(out, work->task);
    if (in_stage(task)) buffer_print(out, "  (%s)", work->stage->name->text);
    buffer_text(out, task_is_duty(work) ? " (duty)\n" : "\n");
    write_says(sheet, work);
    write_needs(sheet, work->task);
}

static void write_head(const Sheet *sheet, const SheetTask *task)
{
    if (task->work.setting)
        write_setting(sheet, task);
    else
        write_task(sheet, task);
    write_cautions(sheet, task->work.task, 4);
}

/* ------------------------------------------------------------------ the whole */

static bool same_place(const SheetTask *a, const SheetTask *b)
{
    return a && a->date.watch == b->date.watch && (a->date.watch || sheet_day(a) == sheet_day(b)) &&
           a->work.place == b->work.place;
}

/* "shut until 10 Jul 2026 08:00: drench, by its label (D26-10, 8 Jul 2026)"; "failing: …". */
static void write_notice(const Sheet *sheet, const WorkNotice *notice, size_t indent, bool place)
{
    const RecordLine *line = notice->line;
    char on[DAY_TEXT], until[DAY_TEXT];
    on[day_write(on, line->day)] = '\0';
    const char *what = "failing";
    if (record_says(line, PIECE_SHUT)) {
        until[day_write(until, line->day_open)] = '\0';
        what = arena_print(sheet->arena, "SHUT until %s %02d:%02d", until, line->minutes / 60,
                           line->minutes % 60);
    }
    const char *where = !place ? "" : notice->place ? notice->place->name->text : "where it stands";
    write_wrapped(
        sheet->out, indent, "! ",
        slice_of(arena_print(sheet->arena, "%s%s%s%s%.*s (%s, %s)", where, *where ? ": " : "", what,
                             line->text.length ? ": " : "", SLICE_ARG(line->text), notice->batch, on)));
}

/* Before all else what holds in the days of the sheet, of its places. */
static void write_notices(const Sheet *sheet)
{
    const WorkFilter *filter = &sheet->options->filter;
    Day from = filter->from != DAY_NONE ? filter->from : filter->today, to = filter->to;
    for (size_t i = 0; i < sheet->result->notice_count; i++) {
        const WorkNotice *notice = &sheet->result->notices[i];
        bool in_days = (from == DAY_NONE || notice->last >= from) && (to == DAY_NONE || notice->first <= to);
        bool in_place = !filter->place.length || !notice->place ||
                        slice_equal(name_slice(notice->place->name), filter->place);
        if (in_days && in_place) write_notice(sheet, notice, 0, true);
    }
}

/* A place that is shut says so before what is to be done in it. */
static void write_shut(const Sheet *sheet, const SheetTask *task)
{
    for (size_t i = 0; i < sheet->result->notice_count && task->work.place; i++) {
        const WorkNotice *notice = &sheet->result->notices[i];
        Day day = sheet_day(task);
        if (record_says(notice->line, PIECE_SHUT) && notice->place == task->work.place &&
            notice->first <= day && day <= notice->last)
            write_notice(sheet, notice, 2, false);
    }
}

static void write_day_head(const Sheet *sheet, const SheetTask *task)
{
    char day[DAY_TEXT];
    day_write_long(day, sheet_day(task));
    buffer_char(sheet->out, '\n');
    write_underlined(sheet->out, task->date.watch ? "Watch the weather" : day, 0, '=');
}

/* What a section or stage asks to be kept to: "depth 12 .. 25 mm; medium 1 peat : 1 perlite; never condition
 * wilted". */
static void write_limits(const Sheet *sheet, const Block *block)
{
    const char *text = NULL;
    for (const Clause *clause = block->clauses; clause; clause = clause->next) {
        bool told = clause->field->role == ROLE_INSTRUCTION || clause->field->role == ROLE_DUTY;
        if (!told || !clause->reading || clause->strength == STRENGTH_PREFER ||
            clause->field->type == TYPE_FIELDS)
            continue;
        const char *never = clause->strength == STRENGTH_NEVER ? "never " : "";
        const char *one = arena_print(sheet->arena, "%s%s %s", never, clause->field->spelling,
                                      reading_print(sheet->arena, clause->field, clause->reading, NULL));
        text = text ? arena_print(sheet->arena, "%s; %s", text, one) : one;
    }
    if (text) write_wrapped(sheet->out, 2, "keep to: ", slice_of(text));
}

/* The cautions that go for all work on a batch, before the work of a day and place: those of each protocol,
 * plant … once, under the name of the protocol. */
static void write_around(const Sheet *sheet, const SheetTask *first)
{
    VEC(const Block *) told = {0};
    const Protocol *named = NULL;
    const SheetTask *end = sheet->list.tasks.at + sheet->list.tasks.count;
    for (const SheetTask *task = first; task < end && same_place(first, task); task++) {
        const WorkTask *work = &task->work;
        if (task > first && task[-1].work.around == work->around) continue;
        for (size_t i = 0; i < work->around_count; i++) {
            size_t before = 0;
            while (before < told.count && told.at[before] != work->around[i]) before++;
            if (before < told.count) continue;
            VEC_PUSH(sheet->arena, &told, work->around[i]);
            if (named != work->protocol) buffer_print(sheet->out, "  %s:\n", work->protocol->name->text);
            named = work->protocol;
            write_cautions(sheet, work->around[i], 2);
        }
    }
}

/* Limits and cautions of what is worked in, once for each day, place and section. True when something was
 * told, so that what follows needs its head again. */
static bool write_section(const Sheet *sheet, const SheetTask *task, const SheetTask *before)
{
    if (before && same_place(before, task) && before->work.stage == task->work.stage) return false;
    if (!in_stage(task)) {
        buffer_print(sheet->out, "\n  %s: %s\n", task->work.protocol->name->text,
                     task->work.stage->type->spelling);
        write_limits(sheet, task->work.stage);
    }
    bool cautions = !task->work.stage_is_around && block_clause(task->work.stage, FIELD_ROW(CAUTION));
    if (cautions) write_cautions(sheet, task->work.stage, 2);
    return !in_stage(task) || cautions;
}

static void write_all(const Sheet *sheet)
{
    const SheetTask *before = NULL;
    for (size_t i = 0; i < sheet->list.tasks.count; i++) {
        const SheetTask *task = &sheet->list.tasks.at[i];
        bool new_day = !before || before->date.watch != task->date.watch ||
                       (!task->date.watch && sheet_day(before) != sheet_day(task));
        if (new_day) write_day_head(sheet, task);
        if (!same_place(before, task)) {
            buffer_char(sheet->out, '\n');
            write_underlined(sheet->out, task->work.place ? place_name(&task->work) : "somewhere", 2, '-');
            write_shut(sheet, task);
            write_cautions(sheet, task->work.place, 2);
            write_around(sheet, task);
        }
        bool told = write_section(sheet, task, before);
        if (told || !same_place(before, task) || !same_task(before, task)) write_head(sheet, task);
        write_batch(sheet, task);
        before = task;
    }
}

/* The second of the languages that the nursery prints its sheets in. */
static Slice second_language(const Nursery *nursery)
{
    const Clause *sheets = nursery->self ? block_clause(nursery->self, FIELD_ROW(SHEETS)) : NULL;
    return sheets && sheets->reading && sheets->reading->word_count > 1
               ? name_slice(sheets->reading->words[1].name)
               : (Slice){0};
}

static Sheet *begin(Arena *arena, Buffer *out, const SheetOptions *options)
{
    Sheet *sheet = ARENA_NEW(arena, Sheet);
    sheet->arena = arena;
    sheet->out = out;
    sheet->options = options;
    sheet->language = options->language.length ? options->language : second_language(options->nursery);
    if (is_own_language(options->nursery, sheet->language)) sheet->language = (Slice){0};
    sheet->list.arena = arena;
    return sheet;
}

static bool task(Sheet *sheet, const WorkTask *task)
{
    return sheet_list_add(&sheet->list, task);
}

static void end(Sheet *sheet, const WorkResult *result)
{
    SheetList *list = &sheet->list;
    sheet_list_sort(list, in_order);
    const Block *self = sheet->options->nursery->self;
    Slice title = self ? self->title.length ? self->title : name_slice(self->name) : SLICE("Work");
    buffer_escaped(sheet->out, title);
    buffer_print(sheet->out, ": %llu task%s of %zu batch%s\n", (unsigned long long)result->tasks,
                 result->tasks == 1 ? "" : "s", result->batches, result->batches == 1 ? "" : "es");
    if (list->left_out)
        buffer_print(sheet->out, "%llu tasks more than a sheet holds are left out; ask for fewer days\n",
                     (unsigned long long)list->left_out);
    buffer_text(sheet->out, "Labels, local rules and licensed advice decide where they say otherwise.\n");
    sheet->result = result;
    write_notices(sheet);
    write_all(sheet);
}

const SheetForm sheet_text = {begin, task, end};
