/* Dated work for the hands that do it: by day, by place, by task; what to do, why, what to watch out for, and
 * a line to write the count.
 *
 * A task that several batches have on one day in one place is told once, with its batches under it. Work that
 * the weather decides stands at the end, with the days between which to watch. In a language that leads
 * (write/tongue.h) the program's own words are translated too, and what nobody translated is marked.
 */
#include "write/sheet_list.h"
#include "write/sheet_page.h"
#include "write/sheet_part.h"

#include "base/vec.h"

#include <string.h>

struct Sheet {
    SheetPage page;
    const SheetOptions *options;
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

static const char *say(const Sheet *sheet, const char *text) __attribute__((format_arg(2)));
static const char *say(const Sheet *sheet, const char *text)
{
    return worded(sheet->page.tongue.catalogue, text);
}

/* ------------------------------------------------------------------ one task, and its batches */

static void write_hours(const Sheet *sheet, const Block *task)
{
    const Clause *daily = block_clause(task, FIELD_ROW(DAILY));
    if (!daily || !daily->reading) return;
    buffer_text(sheet->page.out, say(sheet, ", at "));
    buffer_escaped(sheet->page.out, daily->reading->written);
}

static void write_condition(const Sheet *sheet, const Block *block, const char *lead)
{
    const Clause *when = block_clause(block, FIELD_ROW(WHEN_OF_TASK));
    if (!when || !when->item->condition) return;
    Buffer *words = buffer_in_memory(sheet->page.arena);
    write_by_words(words, &sheet->page.tongue, span_slice(when->item->condition->span));
    page_wrapped(&sheet->page, 4, lead, buffer_slice_of(words));
}

static void write_because(const Sheet *sheet, const WorkTask *work)
{
    Slice because = task_because(work);
    if (because.at) page_alone(&sheet->page, WORDED("because "), because);
}

static void write_says(const Sheet *sheet, const WorkTask *work)
{
    const Block *task = work->task;
    page_say(&sheet->page, task, 4);
    write_because(sheet, work);
    const Clause *sign = block_clause(task, FIELD_ROW(SIGN));
    if (sign && sign->reading) page_alone(&sheet->page, WORDED("begin when: "), sign->reading->text);
    write_condition(sheet, task, say(sheet, "when "));
    for (const Block *act = task->blocks; act; act = act->next) {
        if (act->type->kind != BLOCK_ACT) continue;
        write_condition(sheet, act, say(sheet, "if "));
        page_say(&sheet->page, act, 8);
    }
}

static void write_needs(const Sheet *sheet, const Block *task)
{
    const Tongue *tongue = &sheet->page.tongue;
    const char *needs = task_words(sheet->page.arena, task, FIELD_ROW(NEEDS_OF_TASK), tongue),
               *uses = task_words(sheet->page.arena, task, FIELD_ROW(USES), tongue);
    const char *cull = task_words(sheet->page.arena, task, FIELD_ROW(CULL), tongue),
               *move = task_words(sheet->page.arena, task, FIELD_ROW(MOVE_OF_TASK), tongue);
    if (needs) buffer_print(sheet->page.out, say(sheet, "    who: somebody who can %s\n"), needs);
    if (uses) buffer_print(sheet->page.out, say(sheet, "    with: %s\n"), uses);
    if (cull) buffer_print(sheet->page.out, say(sheet, "    throw out: %s\n"), cull);
    if (move) buffer_print(sheet->page.out, say(sheet, "    goes to: %s\n"), move);
}

/* The word for so many containers. */
static const char *trays_word(const Sheet *sheet, int64_t trays)
{
    const char *one = per_word(PER_TRAYS), *several = FIELD_ROW(TRAYS)->spelling;
    Slice other = {0};
    if (sheet->page.tongue.leads)
        other =
            glossary_find(sheet->page.tongue.glossary, trays == 1 ? FORM_WORD : FORM_PLURAL, slice_of(one));
    if (other.length) return arena_print(sheet->page.arena, "%.*s", SLICE_ARG(other));
    return trays == 1 ? one : several;
}

static void write_amounts(const Sheet *sheet, const WorkTask *work)
{
    Buffer *out = sheet->page.out;
    if (work->has_count) buffer_print(out, ", %lld", (long long)work->count);
    if (work->has_count && work->has_trays)
        buffer_print(out, say(sheet, " in %lld %s"), (long long)work->trays, trays_word(sheet, work->trays));
    if (!work->has_time) return;
    int64_t low = minutes_of(work->time_low), high = minutes_of(work->time_high);
    if (low == high)
        buffer_print(out, say(sheet, "; about %lld min"), (long long)low);
    else
        buffer_print(out, say(sheet, "; about %lld to %lld min"), (long long)low, (long long)high);
}

/* The three dates, where they are not one. */
static void write_spread(const Sheet *sheet, const SheetTask *task)
{
    Buffer *out = sheet->page.out;
    const Dates *dates = &task->date.date;
    bool spread = dates->on[RUN_EARLY] != dates->on[RUN_LATE];
    if (task->date.watch || spread) {
        buffer_text(out, task->date.watch ? say(sheet, "; from ") : say(sheet, "; earliest "));
        write_tongue_day(out, &sheet->page.tongue, dates->on[RUN_EARLY]);
        buffer_text(out, task->date.watch ? say(sheet, ", at the latest ") : say(sheet, ", latest "));
        write_tongue_day(out, &sheet->page.tongue, dates->on[RUN_LATE]);
    }
    if (task->date.sure || task->date.watch) return;
    buffer_text(out, say(sheet, "; only if still in "));
    if (task->work.stage->name)
        write_named(out, &sheet->page.tongue, task->work.stage->name->text, FORM_WORD);
    else
        buffer_text(out, say(sheet, "it"));
}

static void write_state(const Sheet *sheet, const TaskDate *date)
{
    Buffer *out = sheet->page.out;
    if (date->state == STATE_OVERDUE) buffer_text(out, say(sheet, "  OVERDUE"));
    if (date->state == STATE_MISSED) buffer_text(out, say(sheet, "  missed"));
    if (date->state != STATE_DONE && date->state != STATE_SKIPPED) return;
    buffer_print(out, "  %s ", say(sheet, state_name[date->state]));
    write_tongue_day(out, &sheet->page.tongue, date->recorded);
}

static void write_count_line(const Sheet *sheet, const Block *task)
{
    static const FieldNumber counted[] = {FIELD_NUMBER_COUNT_OF_TASK, FIELD_NUMBER_MEASURE};
    for (size_t f = 0; f < sizeof counted / sizeof *counted; f++) {
        const Clause *clause = block_clause(task, &field_table[counted[f]]);
        if (!clause || !clause->reading) continue;
        buffer_text(sheet->page.out, "          ");
        for (size_t i = 0; i < clause->reading->word_count; i++) {
            buffer_text(sheet->page.out, i ? "  " : "");
            write_named(sheet->page.out, &sheet->page.tongue, clause->reading->words[i].name->text,
                        FORM_SHORT);
            buffer_text(sheet->page.out, " ____");
        }
        buffer_text(sheet->page.out,
                    clause->reading->of_a_sample ? say(sheet, "  of a sample of ____\n") : "\n");
    }
}

static void write_batch(const Sheet *sheet, const SheetTask *task)
{
    Buffer *out = sheet->page.out;
    buffer_text(out, "    [ ] ");
    buffer_slice(out, task->work.batch);
    if (*task->work.plant) {
        buffer_text(out, "  ");
        buffer_escaped(out, slice_of(task->work.plant));
    }
    write_amounts(sheet, &task->work);
    write_spread(sheet, task);
    write_state(sheet, &task->date);
    if (task->date.unopened) buffer_text(out, say(sheet, "  (a closed day, and no open one near)"));
    if (task->date.unattended) buffer_text(out, say(sheet, "  (nobody is there that day)"));
    buffer_char(out, '\n');
    write_count_line(sheet, task->work.task);
}

/* "mist: 3 s every 20 min by day  (wean) (duty)": all that there is to know is in the head. */
static void write_setting(const Sheet *sheet, const SheetTask *task)
{
    const WorkTask *work = &task->work;
    Buffer *head = buffer_in_memory(sheet->page.arena);
    write_named(head, &sheet->page.tongue, work->task->name->text, FORM_WORD);
    buffer_text(head, ": ");
    buffer_slice(head, task_setting(work));
    if (in_stage(task)) {
        buffer_text(head, " (");
        write_named(head, &sheet->page.tongue, work->stage->name->text, FORM_WORD);
        buffer_char(head, ')');
    }
    buffer_text(head, say(sheet, " (duty)"));
    buffer_char(sheet->page.out, '\n');
    page_wrapped(&sheet->page, 2, "* ", buffer_slice_of(head));
    write_because(sheet, work);
}

static void write_task(const Sheet *sheet, const SheetTask *task)
{
    Buffer *out = sheet->page.out;
    const WorkTask *work = &task->work;
    buffer_text(out, "\n  * ");
    write_named(out, &sheet->page.tongue, work->task->name->text, FORM_WORD);
    write_hours(sheet, work->task);
    if (in_stage(task)) {
        buffer_text(out, "  (");
        write_named(out, &sheet->page.tongue, work->stage->name->text, FORM_WORD);
        buffer_char(out, ')');
    }
    if (task_is_duty(work)) buffer_text(out, say(sheet, " (duty)"));
    buffer_char(out, '\n');
    write_says(sheet, work);
    write_needs(sheet, work->task);
}

static void write_head(const Sheet *sheet, const SheetTask *task)
{
    if (task->work.setting)
        write_setting(sheet, task);
    else
        write_task(sheet, task);
    page_cautions(&sheet->page, task->work.task, 4);
}

/* ------------------------------------------------------------------ the whole */

static bool same_place(const SheetTask *a, const SheetTask *b)
{
    return a && a->date.watch == b->date.watch && (a->date.watch || sheet_day(a) == sheet_day(b)) &&
           a->work.place == b->work.place;
}

/* "shut until 10 Jul 2026 08:00: drench, by its label (D26-10, 8 Jul 2026)"; "failing: …". */
static Slice notice_text(const Sheet *sheet, const WorkNotice *notice, bool place, const Tongue *tongue)
{
    const RecordLine *line = notice->line;
    const Catalogue *words = tongue->catalogue;
    Buffer *text = buffer_in_memory(sheet->page.arena);
    if (place)
        buffer_print(text,
                     "%s: ", notice->place ? notice->place->name->text : worded(words, "where it stands"));
    if (record_says(line, PIECE_SHUT)) {
        buffer_text(text, worded(words, "SHUT until "));
        write_tongue_day(text, tongue, line->day_open);
        buffer_print(text, " %02d:%02d", line->minutes / 60, line->minutes % 60);
    } else {
        buffer_text(text, worded(words, "failing"));
    }
    if (line->text.length) buffer_text(text, ": ");
    buffer_slice(text, line->text);
    buffer_print(text, " (%s, ", notice->batch);
    write_tongue_day(text, tongue, line->day);
    buffer_char(text, ')');
    return buffer_slice_of(text);
}

/* It can hurt: told in English too, as the cautions are. */
static void write_notice(const Sheet *sheet, const WorkNotice *notice, size_t indent, bool place)
{
    const Tongue *tongue = &sheet->page.tongue;
    if (tongue->catalogue)
        page_wrapped(&sheet->page, indent, "! ", notice_text(sheet, notice, place, tongue));
    page_wrapped(&sheet->page, indent, "! ", notice_text(sheet, notice, place, &(const Tongue){0}));
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

/* Whether a sheet has work of a protocol. */
static bool has_work_of(const Sheet *sheet, Name protocol)
{
    for (size_t i = 0; i < sheet->list.tasks.count; i++)
        if (sheet->list.tasks.at[i].work.protocol->name == protocol) return true;
    return false;
}

/* What earlier seasons taught of what is worked on: where everybody reads it. */
static void write_learned(const Sheet *sheet)
{
    const BlockList *learned = &sheet->options->nursery->lists[BLOCK_LEARNED];
    for (size_t i = 0; i < learned->count; i++) {
        const Block *block = learned->at[i];
        const Clause *about = block_clause(block, FIELD_ROW(FOR_OF_LEARNED));
        bool asked = false;
        for (size_t k = 0; about && about->reading && k < about->reading->word_count; k++)
            asked |= has_work_of(sheet, about->reading->words[k].name);
        for (const Clause *clause = block->clauses; asked && clause; clause = clause->next)
            if (clause->field == FIELD_ROW(NOTE) && clause->reading)
                page_wrapped(&sheet->page, 0, "> ",
                             slice_of(arena_print(sheet->page.arena, "%s: %.*s", block->name->text,
                                                  SLICE_ARG(clause->reading->text))));
    }
}

static void write_day_head(const Sheet *sheet, const SheetTask *task)
{
    Buffer *day = buffer_in_memory(sheet->page.arena);
    write_tongue_day_long(day, &sheet->page.tongue, sheet_day(task));
    buffer_char(day, '\0');
    buffer_char(sheet->page.out, '\n');
    page_underlined(&sheet->page,
                    task->date.watch ? say(sheet, "Watch the weather") : buffer_slice_of(day).at, 0, '=');
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
        const char *one = arena_print(sheet->page.arena, "%s%s %s", never, clause->field->spelling,
                                      reading_print(sheet->page.arena, clause->field, clause->reading, NULL));
        text = text ? arena_print(sheet->page.arena, "%s; %s", text, one) : one;
    }
    if (!text) return;
    Buffer *words = buffer_in_memory(sheet->page.arena);
    write_by_words(words, &sheet->page.tongue, slice_of(text));
    page_wrapped(&sheet->page, 2, say(sheet, "keep to: "), buffer_slice_of(words));
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
            VEC_PUSH(sheet->page.arena, &told, work->around[i]);
            if (named != work->protocol) buffer_print(sheet->page.out, "  %s:\n", work->protocol->name->text);
            named = work->protocol;
            page_cautions(&sheet->page, work->around[i], 2);
        }
    }
}

/* Limits and cautions of what is worked in, once for each day, place and section. True when something was
 * told, so that what follows needs its head again. */
static bool write_section(const Sheet *sheet, const SheetTask *task, const SheetTask *before)
{
    if (before && same_place(before, task) && before->work.stage == task->work.stage) return false;
    if (!in_stage(task)) {
        buffer_print(sheet->page.out, "\n  %s: ", task->work.protocol->name->text);
        write_named(sheet->page.out, &sheet->page.tongue, task->work.stage->type->spelling, FORM_WORD);
        buffer_char(sheet->page.out, '\n');
        write_limits(sheet, task->work.stage);
    }
    bool cautions = !task->work.stage_is_around && block_clause(task->work.stage, FIELD_ROW(CAUTION));
    if (cautions) page_cautions(&sheet->page, task->work.stage, 2);
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
            buffer_char(sheet->page.out, '\n');
            page_underlined(&sheet->page,
                            task->work.place ? place_name(&task->work) : say(sheet, "somewhere"), 2, '-');
            write_shut(sheet, task);
            page_cautions(&sheet->page, task->work.place, 2);
            write_around(sheet, task);
        }
        bool told = write_section(sheet, task, before);
        if (told || !same_place(before, task) || !same_task(before, task)) write_head(sheet, task);
        write_batch(sheet, task);
        before = task;
    }
}

static Sheet *begin(Arena *arena, Buffer *out, const SheetOptions *options)
{
    Sheet *sheet = ARENA_NEW(arena, Sheet);
    sheet->page.arena = arena;
    sheet->page.out = out;
    sheet->options = options;
    sheet->page.tongue = tongue_of_sheets(options);
    sheet->list.arena = arena;
    return sheet;
}

/* What goes for the whole sheet, also in the language that it was written in. */
static void write_provisos(const Sheet *sheet)
{
    static const char labels[] =
        WORDED("Labels, local rules and licensed advice decide where they say otherwise.\n");
    buffer_text(sheet->page.out, say(sheet, labels));
    if (!sheet->page.tongue.leads) return;
    if (say(sheet, labels) != labels) buffer_text(sheet->page.out, labels);
    buffer_text(sheet->page.out,
                say(sheet, "No native speaker has read this translation: in doubt the original decides.\n"));
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
    const Catalogue *words = sheet->page.tongue.catalogue;
    Slice title =
        self ? self->title.length ? self->title : name_slice(self->name) : slice_of(say(sheet, "Work"));
    buffer_escaped(sheet->page.out, title);
    buffer_print(sheet->page.out, worded_count(words, ": %llu task", ": %llu tasks", result->tasks),
                 (unsigned long long)result->tasks);
    buffer_print(sheet->page.out,
                 worded_count(words, " of %zu batch\n", " of %zu batches\n", result->batches),
                 result->batches);
    if (list->left_out)
        buffer_print(sheet->page.out,
                     say(sheet, "%llu tasks more than a sheet holds are left out; ask for fewer days\n"),
                     (unsigned long long)list->left_out);
    write_provisos(sheet);
    sheet->result = result;
    write_notices(sheet);
    write_learned(sheet);
    write_all(sheet);
}

const SheetForm sheet_text = {begin, task, end};
