/* Collecting the blocks of all files, finding them by name, and asking whether what is mentioned exists. */
#include "model/nursery.h"

#include "base/vec.h"
#include "model/finding.h"
#include "model/limit.h"
#include "model/protocol.h"
#include "model/rule.h"
#include "model/shipped.h"

#include <stdlib.h>
#include <string.h>

/* What is gathered while files are added; the lists of the nursery are made from it at the end. */
typedef struct Collecting {
    Nursery nursery; /* first, so that one pointer serves both */
    VEC(Block *) collected[BLOCK_KINDS];
    VEC(Use) uses;
    BlockKind left_out;
    const Clause *said[FIELD_COUNT_LIMIT]; /* see BuildContext */
} Collecting;

Nursery *nursery_new(Arena *arena, Notes *notes)
{
    Collecting *collecting = ARENA_NEW(arena, Collecting);
    Nursery *nursery = &collecting->nursery;
    nursery->arena = arena;
    nursery->notes = notes;
    nursery->names = names_new(arena);
    return nursery;
}

Nursery *nursery_beside(Arena *arena, const Nursery *other, Notes *notes)
{
    Nursery *nursery = nursery_new(arena, notes);
    nursery->names = other->names;
    return nursery;
}

static Collecting *collecting_of(Nursery *nursery)
{
    return (Collecting *)(void *)nursery;
}

/* ------------------------------------------------------------------ adding files */

static void take_uses(Nursery *nursery, const Block *self)
{
    for (const Clause *clause = self->clauses; clause; clause = clause->next) {
        if (clause->field != FIELD_ROW(USE) || !clause->reading) continue;
        for (const Mix *mix = clause->item->value.first; mix; mix = mix->next) {
            const Part *part = mix->first->first;
            if (part->kind == PART_TEXT)
                VEC_PUSH(nursery->arena, &collecting_of(nursery)->uses, ((Use){part->word, part->span}));
        }
    }
}

static void take_self(Nursery *nursery, const Block *block)
{
    if (nursery->self) {
        Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "duplicate", block->name_span,
                               "there are two nurseries in one");
        note->fatal = note->left_out = true;
        note_place(note, nursery->self->name_span, "the first is here");
        return;
    }
    nursery->self = block;
    take_uses(nursery, block);
    const Clause *language = block_clause(block, FIELD_ROW(LANGUAGE));
    if (language && language->reading && !intervals_has(language->reading->numbers, NUMBER(1))) {
        Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "language", clause_place(language),
                               "this program knows version 1 of the language");
        note->fatal = true;
        note->instead = "a later program reads later versions";
    }
    nursery->imperial = clause_is(block_clause(block, FIELD_ROW(UNITS)), "imperial");
}

void nursery_add(Nursery *nursery, const Tree *tree, bool built_in)
{
    BuildContext build = {nursery->arena, nursery->names, nursery->notes,
                          built_in,       false,          collecting_of(nursery)->said};
    if (!built_in) nursery->file_count++;
    for (const Item *item = tree->first; item; item = item->next) {
        if (item->kind == ITEM_BROKEN) continue;
        if (item->kind == ITEM_DATED || item->kind == ITEM_CONDITION) {
            notes_add(nursery->notes, SEVERITY_ERROR, "misplaced", item->span,
                      "this line stands inside a block, not at the top of a file")
                ->left_out = true;
            continue;
        }
        Block *block = block_make(&build, item, BLOCK_NONE, "");
        if (!block) continue;
        if (block->type->kind == BLOCK_NURSERY)
            take_self(nursery, block);
        else if (block->type->kind != collecting_of(nursery)->left_out)
            VEC_PUSH(nursery->arena, &collecting_of(nursery)->collected[block->type->kind], block);
    }
}

void nursery_add_shipped(Nursery *nursery, const Text *text, const char *packed)
{
    for (Block *block = shipped_unpack(nursery->arena, nursery->names, text, packed), *next; block;
         block = next) {
        next = block->next;
        block->next = NULL;
        VEC_PUSH(nursery->arena, &collecting_of(nursery)->collected[block->type->kind], block);
    }
}

void nursery_leave_out(Nursery *nursery, BlockKind kind)
{
    collecting_of(nursery)->left_out = kind;
}

const Use *nursery_uses(const Nursery *nursery, size_t *count)
{
    const Collecting *collecting = (const Collecting *)(const void *)nursery;
    *count = collecting->uses.count;
    return collecting->uses.at;
}

/* ------------------------------------------------------------------ finding */

static int by_name(const void *a, const void *b)
{
    const Block *x = *(Block *const *)a, *y = *(Block *const *)b;
    int order = slice_compare(name_slice(x->name), name_slice(y->name));
    if (order) return order;
    if (x->built_in != y->built_in) return x->built_in ? -1 : 1;
    order = slice_compare(slice_of(x->name_span.text->name), slice_of(y->name_span.text->name));
    if (order) return order;
    return x->name_span.begin < y->name_span.begin ? -1 : x->name_span.begin > y->name_span.begin;
}

/* The list in order of names, without the second of two that are called the same. A house may write a source,
 * a species or a rule that ships with the program anew: its own stands. */
static void make_list(Nursery *nursery, BlockKind kind)
{
    BlockList *list = &nursery->lists[kind];
    list->at = collecting_of(nursery)->collected[kind].at;
    list->count = collecting_of(nursery)->collected[kind].count;
    if (list->count) qsort(list->at, list->count, sizeof *list->at, by_name);
    size_t kept = 0;
    for (size_t i = 0; i < list->count; i++) {
        Block *block = list->at[i], *last = kept ? list->at[kept - 1] : NULL;
        if (last && last->name == block->name &&
            kind == BLOCK_RECORD) { /* a record may go on in another file */
            RecordLine **end = &last->lines;
            while (*end) end = &(*end)->next;
            *end = block->lines;
        } else if (last && last->name == block->name && last->built_in && !block->built_in) {
            list->at[kept - 1] = block;
        } else if (last && last->name == block->name) {
            Note *note =
                notes_add(nursery->notes, SEVERITY_ERROR, "duplicate", block->name_span,
                          "there are two %s blocks called %s", block->type->spelling, block->name->text);
            note->left_out = true;
            note->subject = block->id;
            note_place(note, last->name_span, "the other one");
        } else {
            list->at[kept++] = block;
        }
    }
    list->count = kept;
}

static bool find_index(const BlockList *list, Name name, size_t *index)
{
    size_t low = 0, high = list->count;
    while (low < high) {
        *index = low + (high - low) / 2;
        int order = slice_compare(name_slice(list->at[*index]->name), name_slice(name));
        if (order == 0) return true;
        if (order < 0)
            low = *index + 1;
        else
            high = *index;
    }
    return false;
}

void nursery_open(const Nursery *nursery, Block *block)
{
    BuildContext build = {nursery->arena, nursery->names, nursery->notes, true, false, NULL};
    if (block->shipped && !block->item) shipped_open(&build, block);
}

static const Block *opened(const Nursery *nursery, Block *block)
{
    if (block) nursery_open(nursery, block);
    return block;
}

const Block *nursery_find(const Nursery *nursery, BlockKind kind, Name name)
{
    size_t index;
    return find_index(&nursery->lists[kind], name, &index) ? opened(nursery, nursery->lists[kind].at[index])
                                                           : NULL;
}

Block *nursery_record(const Nursery *nursery, Slice batch)
{
    Name name = names_find(nursery->names, batch);
    size_t index;
    return name && find_index(&nursery->lists[BLOCK_RECORD], name, &index)
               ? nursery->lists[BLOCK_RECORD].at[index]
               : NULL;
}

/* Protocols stand in the order of their blocks. */
Protocol *nursery_protocol(const Nursery *nursery, Name name)
{
    size_t index;
    return nursery->protocols && find_index(&nursery->lists[BLOCK_PROTOCOL], name, &index)
               ? &nursery->protocols[index]
               : NULL;
}

const Block *nursery_species(const Nursery *nursery, const Word *words, size_t count, const Block *longer)
{
    const BlockList *list = &nursery->lists[BLOCK_SPECIES];
    Block *best = NULL;
    for (size_t i = 0; i < list->count; i++) {
        Block *block = list->at[i];
        if (!taxon_leads(block->names, block->name_count, words, count)) continue;
        if (longer && block->name_count >= longer->name_count) continue;
        if (!best || block->name_count > best->name_count) best = block;
    }
    return opened(nursery, best);
}

const char *nursery_nearest(const Nursery *nursery, BlockKind kind, Slice name)
{
    Nearest nearest;
    nearest_start(&nearest, name);
    const BlockList *list = &nursery->lists[kind];
    for (size_t i = 0; i < list->count; i++) nearest_try(&nearest, name_slice(list->at[i]->name));
    return nearest_found(&nearest)
               ? arena_print(nursery->arena, "did you mean %.*s?", SLICE_ARG(nearest.best))
               : NULL;
}

/* ------------------------------------------------------------------ is what is mentioned there? */

static bool has_block(const Block *block, const Block *wanted)
{
    if (block == wanted) return true;
    for (const Block *child = block->blocks; child; child = child->next)
        if (has_block(child, wanted)) return true;
    return false;
}

const Block *nursery_top_of(const Nursery *nursery, const Block *inner)
{
    const char *slash = strchr(inner->id, '/');
    Slice top = slash ? (Slice){inner->id, (size_t)(slash - inner->id)} : slice_of(inner->id);
    Name name = names_find(nursery->names, top);
    for (int kind = 1; name && kind < BLOCK_KINDS; kind++) {
        const Block *block = nursery_find(nursery, (BlockKind)kind, name);
        if (block && has_block(block, inner)) return block;
    }
    return NULL;
}

const Block *nursery_renamed(const Nursery *nursery, BlockKind kind, Slice name)
{
    const BlockList *list = &nursery->lists[kind];
    for (size_t i = 0; i < list->count; i++)
        if (block_has_been(opened(nursery, list->at[i]), name)) return list->at[i];
    return NULL;
}

Note *nursery_note_retired(Nursery *nursery, Severity severity, const Block *now, Span place)
{
    Note *note = notes_add(nursery->notes, severity, "retired-name", place, "this %s is called %s now",
                           now->type->spelling, now->name->text);
    note->mend = now->name->text;
    note->instead = arena_print(nursery->arena, "write %s", now->name->text);
    note_place(note, now->name_span, "it was renamed here");
    return note;
}

static void unknown_name(Nursery *nursery, const char *subject, BlockKind kind, Name name, Span place)
{
    const Block *now = nursery_renamed(nursery, kind, name_slice(name));
    if (now) {
        nursery_note_retired(nursery, SEVERITY_ERROR, now, place)->subject = subject;
        return;
    }
    Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "unknown-word", place, "there is no %s '%s'",
                           block_types[kind].spelling, name->text);
    note->subject = subject;
    note->instead = nursery_nearest(nursery, kind, name_slice(name));
}

/* A name that a reading mentions and nobody has; NULL when all are there. */
static Name missing_name(const Nursery *nursery, const Field *field, const Reading *reading, BlockKind *kind,
                         Span *place)
{
    bool of_inheritance = field == FIELD_ROW(BASED_ON) || field == FIELD_ROW(WITH);
    bool of_batches = field == FIELD_ROW(BATCH_OF_TRIAL); /* which may stand in tables, that come later */
    const BlockType *type = field->type == TYPE_NAME && !of_inheritance && !of_batches
                                ? block_find(slice_of(field->words))
                                : NULL;
    for (size_t i = 0; type && i < reading->word_count; i++) {
        *kind = type->kind;
        if (reading->words[i].span.text) *place = reading->words[i].span;
        if (!nursery_find(nursery, *kind, reading->words[i].name)) return reading->words[i].name;
    }
    *kind = BLOCK_PLACE;
    for (size_t i = 0; i < reading->standing_count; i++)
        if (!nursery_find(nursery, *kind, reading->standings[i].place)) return reading->standings[i].place;
    *kind = BLOCK_CONTAINER;
    for (size_t i = 0; i < reading->holding_count; i++)
        if (!nursery_find(nursery, *kind, reading->holdings[i].container))
            return reading->holdings[i].container;
    /* a plant is a variety of the nursery, or a botanical name, which begins with a capital */
    *kind = BLOCK_VARIETY;
    bool plant = field->type == TYPE_TAXON && field == FIELD_ROW(PLANT_OF_BATCH) && reading->word_count == 1;
    if (plant && *reading->words[0].name->text >= 'a' && *reading->words[0].name->text <= 'z' &&
        !nursery_find(nursery, *kind, reading->words[0].name))
        return reading->words[0].name;
    return NULL;
}

bool nursery_has_named(const Nursery *nursery, const Field *field, const Reading *reading)
{
    BlockKind kind;
    Span place;
    return !missing_name(nursery, field, reading, &kind, &place);
}

void nursery_check_named(Nursery *nursery, const char *subject, const Field *field, const Reading *reading,
                         Span place)
{
    BlockKind kind;
    Name missing = missing_name(nursery, field, reading, &kind, &place);
    if (missing) unknown_name(nursery, subject, kind, missing, place);
}

static void check_citations(Nursery *nursery, const Block *block, const Citation *citations)
{
    for (const Citation *citation = citations; citation; citation = citation->next) {
        if (slice_is(citation->key, "trade") || slice_is(citation->key, "memory") ||
            slice_is(citation->key, "ours"))
            continue;
        Name name = names_find(nursery->names, citation->key);
        size_t index;
        if (name && find_index(&nursery->lists[BLOCK_SOURCE], name, &index)) continue;
        Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "unknown-word", citation->span,
                               "there is no source '%.*s'", SLICE_ARG(citation->key));
        note->subject = block->id;
        note->instead = nursery_nearest(nursery, BLOCK_SOURCE, citation->key);
    }
}

static void check_suppression(Nursery *nursery, const Block *block, const Clause *clause)
{
    const Word *word = &clause->reading->words[0];
    const char *what = clause->field->type == TYPE_ACCEPT ? "accept" : "judge";
    if (!clause->item->because.length) {
        Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "reason", clause_place(clause),
                               "%s %s says no reason, and turns nothing off", what, word->name->text);
        note->subject = block->id;
        note->instead = "add because \"…\"";
    }
    if (nursery_knows_finding(nursery, name_slice(word->name))) {
        const Block *now = nursery_find(nursery, BLOCK_RULE, word->name)
                               ? NULL
                               : nursery_renamed(nursery, BLOCK_RULE, name_slice(word->name));
        if (now) nursery_note_retired(nursery, SEVERITY_NOTE, now, word->span)->subject = block->id;
        return;
    }
    Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "unknown-word", word->span,
                           "no finding is called '%s'", word->name->text);
    note->subject = block->id;
    Nearest nearest;
    nearest_start(&nearest, name_slice(word->name));
    for (size_t i = 0; i < nursery->rule_count; i++)
        nearest_try(&nearest, name_slice(nursery->rules[i].name));
    for (size_t i = 0; i < field_count; i++)
        if (role_judges(field_table[i].role)) nearest_try(&nearest, slice_of(field_table[i].spelling));
    if (nearest_found(&nearest))
        note->instead = arena_print(nursery->arena, "did you mean %.*s?", SLICE_ARG(nearest.best));
}

static void check_block(Nursery *nursery, const Block *block)
{
    for (const Clause *clause = block->clauses; clause; clause = clause->next) {
        check_citations(nursery, block, clause->item->citations);
        if (!clause->reading) continue;
        nursery_check_named(nursery, block->id, clause->field, clause->reading, clause_value_place(clause));
        if (clause->field->type == TYPE_ACCEPT || clause->field->type == TYPE_JUDGE)
            check_suppression(nursery, block, clause);
    }
    for (const Block *child = block->blocks; child; child = child->next) check_block(nursery, child);
}

static void check_blocks(Nursery *nursery)
{
    if (nursery->self) check_block(nursery, nursery->self);
    for (int kind = 1; kind < BLOCK_KINDS; kind++)
        for (size_t i = 0; i < nursery->lists[kind].count; i++)
            check_block(nursery, nursery->lists[kind].at[i]);
}

/* Other batches that a line names are known only when all plans have been read. */
static void check_record_line(Nursery *nursery, const Block *record, const RecordLine *line)
{
    if (record_says(line, PIECE_PLACE) && !nursery_find(nursery, BLOCK_PLACE, line->thing))
        unknown_name(nursery, record->id, BLOCK_PLACE, line->thing, line->thing_span);
    if (record_says(line, PIECE_AT) && !nursery_find(nursery, BLOCK_PLACE, line->other))
        unknown_name(nursery, record->id, BLOCK_PLACE, line->other, line->other_span);
    if (record_says(line, PIECE_TO) && line->other == record->name) {
        Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "unknown-word", line->other_span,
                               "%s cannot go to itself", line->other->text);
        note->subject = record->id;
        note->instead = "what is split off or stuck again is a batch of its own: declare it";
    }
    if (record_says(line, PIECE_CONTAINER) && !nursery_find(nursery, BLOCK_CONTAINER, line->container))
        unknown_name(nursery, record->id, BLOCK_CONTAINER, line->container, line->thing_span);
}

static void settle_records(Nursery *nursery)
{
    const BlockList *records = &nursery->lists[BLOCK_RECORD];
    for (size_t i = 0; i < records->count; i++) {
        record_settle(nursery->notes, records->at[i]);
        for (const RecordLine *line = records->at[i]->lines; line; line = line->next)
            check_record_line(nursery, records->at[i], line);
    }
}

/* ------------------------------------------------------------------ severities */

static void take_judgements(Nursery *nursery)
{
    VEC(Judgement) list = {0};
    for (const Clause *clause = nursery->self ? nursery->self->clauses : NULL; clause; clause = clause->next)
        if (clause->field->type == TYPE_JUDGE && clause->reading && clause->item->because.length)
            VEC_PUSH(nursery->arena, &list,
                     ((Judgement){clause->reading->words[0].name, clause->reading->severity, clause, false}));
    nursery->judgements = list.at;
    nursery->judgement_count = list.count;
}

Severity nursery_judged(const Nursery *nursery, const char *name, Severity severity)
{
    for (size_t i = 0; i < nursery->judgement_count; i++) {
        if (!slice_is(name_slice(nursery->judgements[i].name), name)) continue;
        nursery->judgements[i].used = true;
        return nursery->judgements[i].severity;
    }
    return severity;
}

bool nursery_knows_finding(const Nursery *nursery, Slice name)
{
    for (size_t i = 0; i < nursery->rule_count; i++)
        if (slice_equal(name_slice(nursery->rules[i].name), name)) return true;
    if (finding_find(name)) return true;
    for (const Field *field = field_find_from(name, NULL); field; field = field_find_from(name, field))
        if (role_judges(field->role)) return true;
    return nursery_renamed(nursery, BLOCK_RULE, name);
}

/* ------------------------------------------------------------------ citations */

bool citations_are_hearsay(const Citation *citations)
{
    for (const Citation *citation = citations; citation; citation = citation->next)
        if (!slice_is(citation->key, "trade") && !slice_is(citation->key, "memory")) return false;
    return citations != NULL;
}

const char *nursery_cite(const Nursery *nursery, Arena *arena, const Citation *citations)
{
    const char *text = NULL;
    for (const Citation *citation = citations; citation; citation = citation->next) {
        Name name = names_find(nursery->names, citation->key);
        const Block *source = name ? nursery_find(nursery, BLOCK_SOURCE, name) : NULL;
        const char *one = arena_print(arena, "%.*s", SLICE_ARG(citation->key));
        if (source && source->title.length)
            one = arena_print(arena, "%s: %.*s", one, SLICE_ARG(source->title));
        if (citation->where.length) one = arena_print(arena, "%s, %.*s", one, SLICE_ARG(citation->where));
        if (source && source->year) one = arena_print(arena, "%s (%d)", one, source->year);
        if (source && source->second_hand) one = arena_print(arena, "%s, second-hand", one);
        if (slice_is(citation->key, "trade")) one = "common practice";
        if (slice_is(citation->key, "memory")) one = "from memory, unverified";
        if (slice_is(citation->key, "ours")) one = "our own experience";
        text = text ? arena_print(arena, "%s; %s", text, one) : one;
    }
    return text;
}

/* ------------------------------------------------------------------ finishing */

static void make_protocols(Nursery *nursery)
{
    const BlockList *list = &nursery->lists[BLOCK_PROTOCOL];
    nursery->protocols = ARENA_ARRAY(nursery->arena, Protocol, list->count);
    nursery->protocol_count = list->count;
    for (size_t i = 0; i < list->count; i++)
        nursery->protocols[i] = (Protocol){.name = list->at[i]->name, .written = list->at[i]};
}

/* A fault in the nursery block leaves open by what all else is judged: no run with one has done its job. */
static void mark_faults_of_self(Nursery *nursery)
{
    size_t count;
    Note *const *notes = notes_sorted(nursery->notes, &count);
    Span self = nursery->self ? nursery->self->item->span : (Span){0};
    for (size_t i = 0; i < count && self.text; i++) {
        Span place = notes[i]->place[0].span;
        bool inside = place.text == self.text && place.begin >= self.begin && place.end <= self.end;
        if (inside && notes[i]->severity == SEVERITY_ERROR) notes[i]->fatal = true;
    }
}

void nursery_gather(Nursery *nursery)
{
    for (int kind = 1; kind < BLOCK_KINDS; kind++) make_list(nursery, (BlockKind)kind);
    nursery->gathered = true;
}

void nursery_finish(Nursery *nursery)
{
    if (!nursery->gathered) nursery_gather(nursery);
    make_protocols(nursery);
    inheritance_resolve(nursery);
    rules_make(nursery);
    take_judgements(nursery);
    check_blocks(nursery);
    settle_records(nursery);
    mark_faults_of_self(nursery);
}
