/* Dated work as JSON, version 1, a task at a time, as docs/tasks.schema.json describes it. */
#include "write/sheet_part.h"

#include "base/json.h"

enum { CAUTION_LANGUAGES = 64 }; /* more than a house speaks */

struct Sheet {
    Buffer *out;
    Buffer *text; /* ids, and texts of several clauses, are put together here */
    Json json;
    Tongue tongue;        /* told beside the languages that the texts themselves have; may be none */
    const char *language; /* its word */
};

static Sheet *begin(Arena *arena, Buffer *out, const SheetOptions *options)
{
    Sheet *sheet = ARENA_NEW(arena, Sheet);
    sheet->tongue = tongue_asked(options);
    sheet->language = arena_copy(arena, sheet->tongue.language.at, sheet->tongue.language.length);
    sheet->out = out;
    sheet->text = buffer_in_memory(arena);
    json_start(&sheet->json, out, true);
    json_object(&sheet->json);
    json_field_integer(&sheet->json, "version", 1);
    json_field_text(&sheet->json, "tool", "heelcut");
    json_field_text(&sheet->json, "command", "tasks");
    json_key(&sheet->json, "tasks");
    json_array(&sheet->json);
    return sheet;
}

static void write_day(Json *json, const char *key, Day day)
{
    json_key(json, key);
    json_day(json, day);
}

static void write_flag(Json *json, const char *key, bool value)
{
    json_key(json, key);
    json_bool(json, value);
}

static void write_amount(Json *json, const char *key, bool known, int64_t amount)
{
    json_key(json, key);
    if (known)
        json_integer(json, amount);
    else
        json_null(json);
}

/* What the glossaries say, where the task itself says nothing in the language. */
static void write_glossary_text(Sheet *sheet, const Block *task)
{
    buffer_clear(sheet->text);
    write_say_in(sheet->text, task, &sheet->tongue);
    Slice other = buffer_slice_of(sheet->text);
    if (other.length) json_field_slice(&sheet->json, sheet->language, other);
}

/* {"": "…", "es": "…"}: the nursery's own language has no word. */
static void write_texts(Sheet *sheet, const Block *task, Slice setting)
{
    Json *json = &sheet->json;
    json_key(json, "say");
    json_object(json);
    if (setting.length) json_field_slice(json, "", setting);
    for (const Clause *first = task->clauses; first; first = first->next) {
        if (first->field != FIELD_ROW(SAY) || !first->reading) continue;
        Name language = first->reading->language;
        if (task_say_clause(task, name_slice(language)) != first) continue; /* told with the first */
        buffer_clear(sheet->text);
        for (const Clause *clause = first; clause; clause = clause->next) {
            if (clause->field != FIELD_ROW(SAY) || !clause->reading || clause->reading->language != language)
                continue;
            if (clause != first) buffer_char(sheet->text, '\n');
            buffer_slice(sheet->text, clause->reading->text);
        }
        json_field_slice(json, language ? language->text : "", buffer_slice_of(sheet->text));
    }
    if (!setting.length && !task_say_clause(task, sheet->tongue.language)) write_glossary_text(sheet, task);
    json_end_object(json);
}

static void write_cautions_in(Json *json, const WorkTask *task, const char *key, Slice language)
{
    const Clause *caution;
    json_key(json, key);
    json_array(json);
    for (size_t n = 0; (caution = task_caution(task, language, n)); n++)
        json_slice(json, caution->reading->text);
    json_end_array(json);
}

/* Those of the language that was asked for, of the glossaries too. */
static void write_asked_cautions(Sheet *sheet, const WorkTask *task)
{
    Slice own, other;
    bool any = false;
    for (size_t i = 0; i < task_block_count(task); i++)
        for (size_t n = 0; caution_pair(task_block(task, i), &sheet->tongue, n, &own, &other); n++) {
            if (!other.length) continue;
            if (!any) json_key(&sheet->json, sheet->language);
            if (!any) json_array(&sheet->json);
            any = true;
            json_slice(&sheet->json, other);
        }
    if (any) json_end_array(&sheet->json);
}

/* The languages, beside the nursery's own, in which there are cautions for a task; at most as many as fit. */
static size_t caution_languages(const WorkTask *task, Name *languages, size_t room)
{
    size_t count = 0;
    for (size_t i = 0; i < task_block_count(task); i++) {
        const Block *block = task_block(task, i);
        for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next) {
            Name language = clause->reading ? clause->reading->language : NULL;
            if (clause->field != FIELD_ROW(CAUTION) || !language) continue;
            size_t before = 0;
            while (before < count && languages[before] != language) before++;
            if (before == count && count < room) languages[count++] = language;
        }
    }
    return count;
}

/* {"": ["…"], "es": ["…"]}: each language has those that are told in it, all that go for the task. */
static void write_cautions(Sheet *sheet, const WorkTask *task)
{
    Json *json = &sheet->json;
    Name languages[CAUTION_LANGUAGES];
    size_t count = caution_languages(task, languages, CAUTION_LANGUAGES);
    json_key(json, "cautions");
    json_object(json);
    write_cautions_in(json, task, "", (Slice){0});
    for (size_t i = 0; i < count; i++)
        if (!slice_equal(name_slice(languages[i]), sheet->tongue.language))
            write_cautions_in(json, task, languages[i]->text, name_slice(languages[i]));
    if (sheet->tongue.language.length) write_asked_cautions(sheet, task);
    json_end_object(json);
}

static bool task(Sheet *sheet, const WorkTask *task)
{
    Json *json = &sheet->json;
    const TaskDate *date = task->date;
    json_object(json);
    buffer_clear(sheet->text);
    write_task_id(sheet->text, task);
    json_field_slice(json, "id", buffer_slice_of(sheet->text));
    json_field_slice(json, "batch", task->batch);
    json_field_text(json, "plant", task->plant);
    json_field_text(json, "protocol", task->protocol->name->text);
    json_field_text(json, "stage", task->stage->name ? task->stage->name->text : task->stage->type->spelling);
    json_field_text(json, "task", task->task->name->text);
    write_amount(json, "number", task_repeats(task), date->number);
    write_day(json, "earliest", date->date.on[RUN_EARLY]);
    write_day(json, "planned", date->watch ? DAY_NONE : date->date.on[RUN_PLANNED]);
    write_day(json, "latest", date->date.on[RUN_LATE]);
    write_day(json, "due", date->watch ? DAY_NONE : date->due.on[RUN_PLANNED]);
    write_flag(json, "sure", date->sure);
    write_flag(json, "watch", date->watch);
    json_field_text(json, "state", state_name[date->state]);
    write_day(json, "done", date->recorded);
    json_field_text(json, "place", task->place ? place_name(task) : NULL);
    json_field_text(json, "move", *move_name(task) ? move_name(task) : NULL);
    write_amount(json, "count", task->has_count, task->count);
    write_amount(json, "trays", task->has_trays, task->trays);
    write_amount(json, "minutes_low", task->has_time, task->has_time ? minutes_of(task->time_low) : 0);
    write_amount(json, "minutes_high", task->has_time, task->has_time ? minutes_of(task->time_high) : 0);
    write_flag(json, "duty", task_is_duty(task));
    write_flag(json, "setting", task->setting != NULL);
    write_texts(sheet, task->task, task_setting(task));
    if (task_because(task).at)
        json_field_slice(json, "because", task_because(task));
    else
        json_field_text(json, "because", NULL);
    write_cautions(sheet, task);
    json_end_object(json);
    return !buffer_failed(sheet->out);
}

static void end(Sheet *sheet, const WorkResult *result)
{
    json_end_array(&sheet->json);
    json_field_integer(&sheet->json, "batches", (int64_t)result->batches);
    json_field_integer(&sheet->json, "undated", (int64_t)result->undated);
    json_end_object(&sheet->json);
    buffer_char(sheet->out, '\n');
}

const SheetForm sheet_json = {begin, task, end};
