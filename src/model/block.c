/* From items of the tree to blocks and clauses: which may stand where, how they are named, what is said
 * twice.
 *
 * Whether a name that is mentioned exists is not asked here (model/nursery.c does, when every file is read).
 */
#include "model/block.h"

#include "base/vec.h"
#include "model/dial.h"
#include "model/record.h"

typedef struct Maker {
    const BuildContext *build;
    Block *block;
    Clause **clause_end;
    Block **block_end;
    RecordLine **line_end;
} Maker;

static bool is_protocol_part(BlockKind kind)
{
    return kind == BLOCK_HOLD || kind == BLOCK_CLIMATE || kind == BLOCK_STAGE;
}

/* ------------------------------------------------------------------ names of blocks */

static const Part *first_part(const Value *value)
{
    return value->first && value->first->first ? value->first->first->first : NULL;
}

static Name intern(const BuildContext *build, Slice text)
{
    return names_intern(build->names, text);
}

static void refuse_head(const BuildContext *build, const Item *item, Span place, const char *what)
{
    const BlockType *type = block_find(item->field);
    notes_add(build->notes, SEVERITY_ERROR, "syntax", place, "%s; a %s begins: %s%s", what, type->spelling,
              type->spelling,
              type->naming == NAMING_TAXON  ? " Genus species { … }"
              : type->naming == NAMING_RULE ? " its-name on batch { … }"
              : type->naming == NAMING_IDS  ? " its-name { … }, or stage callus, root { … }"
              : type->naming == NAMING_NONE ? " { … }"
                                            : " its-name \"title\" { … }");
}

/* Words up to the first part that is none; gives the part after them. */
static const Part *take_words(const BuildContext *build, Block *block, const Part *part)
{
    VEC(Word) words = {0};
    for (; part && part->kind == PART_WORD; part = part->next)
        VEC_PUSH(build->arena, &words, ((Word){intern(build, part->word), part->span}));
    block->names = words.at;
    block->name_count = words.count;
    return part;
}

static Name join_words(const BuildContext *build, const Word *words, size_t count)
{
    const char *joined = "";
    for (size_t i = 0; i < count; i++)
        joined = arena_print(build->arena, "%s%s%s", joined, i ? " " : "", words[i].name->text);
    return intern(build, slice_of(joined));
}

static const Part *take_title(Block *block, const Part *part)
{
    if (!part || part->kind != PART_TEXT) return part;
    block->title = part->word;
    return part->next;
}

/* What may follow the title of a source: its year, and whether only a text that quotes it was read. */
static const Part *take_source_facts(Block *block, const Part *part)
{
    for (; part; part = part->next) {
        if (part->kind == PART_QUANTITY && part->quantity.unit.length == 0 &&
            part->quantity.number.den == 1 && part->quantity.number.num > 0 &&
            part->quantity.number.num <= YEAR_LAST)
            block->year = (int)part->quantity.number.num;
        else if (part->kind == PART_WORD && slice_is(part->word, "second-hand"))
            block->second_hand = true;
        else
            return part;
    }
    return NULL;
}

/* The scopes behind `on`; the value's first mix holds NAME on SCOPE, the others a scope each. */
static bool take_scopes(const BuildContext *build, Block *block, const Item *item, const Part *part)
{
    VEC(Word) scopes = {0};
    for (const Mix *mix = item->value.first; mix; mix = mix->next, part = mix ? mix->first->first : NULL) {
        if (!part || part->kind != PART_WORD) {
            refuse_head(build, item, part ? part->span : mix->span, "what a rule judges is a word");
            return false;
        }
        if (part->next) {
            refuse_head(build, item, part->next->span, "this stands inside a rule, not in its first line");
            return false;
        }
        VEC_PUSH(build->arena, &scopes, ((Word){intern(build, part->word), part->span}));
    }
    block->names = scopes.at;
    block->name_count = scopes.count;
    return true;
}

static bool name_rule(const BuildContext *build, Block *block, const Item *item)
{
    const Part *part = first_part(&item->value);
    if (!part || part->kind != PART_WORD) {
        refuse_head(build, item, block->name_span, "a rule needs a name");
        return false;
    }
    block->name = intern(build, part->word);
    block->name_span = part->span;
    part = part->next;
    if (!part) return true;
    if (part->kind != PART_WORD || !slice_is(part->word, "on") || !part->next) {
        refuse_head(build, item, part->span, "behind a rule's name stands on, and what it judges");
        return false;
    }
    return take_scopes(build, block, item, part->next);
}

static bool name_stages(const BuildContext *build, Block *block, const Item *item)
{
    VEC(Word) names = {0};
    for (const Mix *mix = item->value.first; mix; mix = mix->next) {
        const Part *part = mix->first->first;
        if (mix->first->next || part->kind != PART_WORD || part->next) return false;
        VEC_PUSH(build->arena, &names, ((Word){intern(build, part->word), part->span}));
    }
    block->names = names.at;
    block->name_count = names.count;
    if (names.count) block->name = names.at[0].name;
    return names.count > 0;
}

static bool name_block(const BuildContext *build, Block *block, const Item *item)
{
    Naming naming = block->type->naming;
    const Part *part = first_part(&item->value);
    block->name_span = part ? part->span : item->field_span;
    if (build->example && naming != NAMING_IDS && naming != NAMING_WORD && block->type->kind != BLOCK_TASK &&
        block->type->kind != BLOCK_SOURCE) {
        if (part) refuse_head(build, item, part->span, "a block inside an example has no name");
        return !part;
    }
    if (naming == NAMING_NONE) {
        if (part) refuse_head(build, item, part->span, "nothing stands between this word and its brace");
        return !part;
    }
    if (naming == NAMING_RULE) return name_rule(build, block, item);
    if (naming == NAMING_IDS)
        return name_stages(build, block, item) ||
               (refuse_head(build, item, block->name_span, "a stage needs a name"), false);
    const Mix *mix = item->value.first;
    if (mix && (mix->next || mix->first->next)) {
        refuse_head(build, item, mix->next ? mix->next->span : mix->first->next->span,
                    "one name and one title are enough");
        return false;
    }
    part = take_words(build, block, part);
    if (!block->name_count ||
        (naming != NAMING_TAXON && block->name_count > 1 && block->type->kind != BLOCK_SOURCE)) {
        Span place = block->name_count > 1 ? block->names[1].span : block->name_span;
        refuse_head(build, item, place,
                    block->name_count ? "a name is one word; a longer one goes in quotes behind it"
                                      : "a name is missing");
        return false;
    }
    block->name =
        naming == NAMING_TAXON ? join_words(build, block->names, block->name_count) : block->names[0].name;
    part = take_title(block, part);
    if (block->type->kind == BLOCK_SOURCE) part = take_source_facts(block, part);
    if (part) refuse_head(build, item, part->span, "this does not belong to a name");
    return !part;
}

/* ------------------------------------------------------------------ clauses */

static const char *block_words(BlockKind kind)
{
    return kind == BLOCK_NONE ? "a file" : block_types[kind].spelling;
}

/* `warning "deep" breaks { … }`: a clause of the parent, and without a ; behind it a block. The word that
 * begins the block; NULL: it is no such thing. */
static const Part *block_behind_clause(const Item *item, BlockKind parent)
{
    if (item->kind != ITEM_BLOCK || !field_find(item->field, parent)) return NULL;
    for (const Mix *mix = item->value.first; mix; mix = mix->next)
        for (const Phrase *phrase = mix->first; phrase; phrase = phrase->next)
            for (const Part *part = phrase->first; part; part = part->next) {
                const BlockType *type = part->kind == PART_WORD ? block_find(part->word) : NULL;
                if (type && (type->where & BLOCK_BIT(parent))) return part;
            }
    return NULL;
}

static void unknown_field(const BuildContext *build, const Item *item, Slice word, Span place,
                          BlockKind parent)
{
    const Part *behind = block_behind_clause(item, parent);
    if (behind) {
        notes_add(build->notes, SEVERITY_ERROR, "syntax", behind->span,
                  "a block begins on a line of its own, or behind a ;");
        return;
    }
    Nearest nearest;
    nearest_start(&nearest, word);
    vocabulary_nearest_in_block(&nearest, parent);
    const Field *elsewhere = field_find_from(word, NULL);
    const BlockType *type = block_find(word);
    if (elsewhere || type) {
        const char *where = "";
        for (int kind = 1; kind < BLOCK_KINDS; kind++) {
            BlockMask mask = type ? type->where : 0;
            for (const Field *field = elsewhere; field; field = field_find_from(word, field))
                mask |= field->where;
            if (mask & BLOCK_BIT(kind))
                where = arena_print(build->arena, "%s%s%s", where, *where ? ", " : "",
                                    block_types[kind].spelling);
        }
        if (type && (type->where & BLOCK_TOP))
            where = arena_print(build->arena, "%s%sthe top of a file", where, *where ? ", " : "");
        notes_add(build->notes, SEVERITY_ERROR, "misplaced", place,
                  "'%.*s' may not stand in %s; it stands in %s", SLICE_ARG(word), block_words(parent), where)
            ->left_out = true;
        return;
    }
    Note *note = notes_add(build->notes, SEVERITY_ERROR, "unknown-word", place, "%s knows no '%.*s'",
                           parent == BLOCK_NONE ? "the language" : block_words(parent), SLICE_ARG(word));
    note->left_out = true;
    if (nearest_found(&nearest))
        note->instead = arena_print(build->arena, "did you mean %.*s?", SLICE_ARG(nearest.best));
    if (nearest_found(&nearest) && !nearest.tied)
        note->mend = arena_copy(build->arena, nearest.best.at, nearest.best.length);
}

/* `keep medium-temperature 20 .. 24 C`: the field is the value's first word, the value what follows it. */
static const Item *without_keep(const BuildContext *build, const Item *item, BlockKind parent)
{
    const Part *word = first_part(&item->value);
    const Field *field = word && word->kind == PART_WORD ? field_find(word->word, parent) : NULL;
    if (!field || !(field->flags & FIELD_KEEP)) {
        Nearest nearest;
        nearest_start(&nearest, word && word->kind == PART_WORD ? word->word : SLICE(""));
        for (size_t i = 0; i < field_count; i++)
            if (field_table[i].flags & FIELD_KEEP) nearest_try(&nearest, slice_of(field_table[i].spelling));
        Note *note = notes_add(
            build->notes, SEVERITY_ERROR, "unknown-word", word ? word->span : item->field_span,
            "keep is followed by what is kept: medium-temperature, air-temperature, humidity, shade …");
        note->left_out = true;
        if (nearest_found(&nearest))
            note->instead = arena_print(build->arena, "did you mean %.*s?", SLICE_ARG(nearest.best));
        return NULL;
    }
    Item *inner = ARENA_NEW(build->arena, Item);
    *inner = *item;
    inner->field = word->word;
    inner->field_span = word->span;
    Mix *mix = ARENA_NEW(build->arena, Mix);
    Phrase *phrase = ARENA_NEW(build->arena, Phrase);
    *mix = *item->value.first;
    *phrase = *mix->first;
    phrase->first = word->next;
    mix->first = phrase;
    inner->value.first = mix;
    if (!word->next) {
        if (mix->next || phrase->next) return inner; /* the reader complains about the odd rest */
        inner->value.first = NULL;
        inner->value.span = word->span;
    } else {
        phrase->span.begin = mix->span.begin = inner->value.span.begin = word->next->span.begin;
    }
    return inner;
}

static bool same_slot(const Clause *a, const Clause *b)
{
    bool a_limit = a->strength == STRENGTH_PLAIN || a->strength == STRENGTH_MUST;
    bool b_limit = b->strength == STRENGTH_PLAIN || b->strength == STRENGTH_MUST;
    return a->field == b->field && a->strength != STRENGTH_NEVER &&
           (a->strength == b->strength || (a_limit && b_limit));
}

static void check_said_once(const Maker *maker, const Clause *clause)
{
    if (clause->field->flags & FIELD_REPEATS) return;
    for (const Clause *other = maker->block->clauses; other != clause; other = other->next) {
        if (!same_slot(other, clause)) continue;
        Note *note = notes_add(maker->build->notes, SEVERITY_ERROR, "duplicate", clause->item->field_span,
                               "%s is said twice in one %s", clause->field->spelling,
                               block_words(maker->block->type->kind));
        note_place(note, other->item->field_span, "first said here");
        return;
    }
}

/* A strength other than plain has a meaning only where something is allowed or forbidden. */
static void check_strength(const Maker *maker, const Item *item, const Field *field)
{
    if (item->strength == STRENGTH_PLAIN) return;
    BlockKind kind = maker->block->type->kind;
    bool limits = role_judges(field->role) && kind != BLOCK_BATCH && kind != BLOCK_WAY &&
                  kind != BLOCK_PLACE && kind != BLOCK_VARIETY;
    bool wished =
        item->strength == STRENGTH_PREFER && (field->role == ROLE_PROMISE || field->role == ROLE_SCHEDULE);
    if (limits || wished) return;
    notes_add(maker->build->notes, SEVERITY_ERROR, "misplaced", item->strength_span,
              "'%.*s' says how strictly a limit is meant; %s in %s is none",
              SLICE_ARG(span_slice(item->strength_span)), field->spelling, block_words(kind));
}

/* A batch that says what the one before it said shares its reading, so that verdicts on it can be remembered.
 * Words know their place in the text, and are not shared. */
static const Reading *read_clause(const Maker *maker, const Clause *clause)
{
    const BuildContext *build = maker->build;
    ReadContext context = {build->arena, build->names, build->notes, NULL};
    bool remembers = build->said && maker->block->type->kind == BLOCK_BATCH && clause->item->value.first;
    const Clause **said = remembers ? &build->said[clause->field->number] : NULL;
    if (said && *said &&
        slice_equal(span_slice((*said)->item->value.span), span_slice(clause->item->value.span)))
        return (*said)->reading;
    size_t told = notes_total(build->notes);
    const Reading *reading = reading_make(&context, clause->field, clause->item, maker->block->id);
    if (said) *said = reading && !reading->word_count && notes_total(build->notes) == told ? clause : NULL;
    return reading;
}

static void add_clause(Maker *maker, const Item *item)
{
    const BuildContext *build = maker->build;
    BlockKind kind = maker->block->type->kind;
    bool kept = slice_is(item->field, "keep");
    if (kept && !(item = without_keep(build, item, kind))) return;
    const Field *field = field_find(item->field, kind);
    if (!field) {
        unknown_field(build, item, item->field, item->field_span, kind);
        return;
    }
    if ((field->flags & FIELD_KEEP) && kept != is_protocol_part(kind) && !build->example) {
        notes_add(build->notes, SEVERITY_ERROR, "syntax", item->field_span,
                  kept ? "%s stands without keep here; it says what the %s has" : "write keep %s in a %s",
                  field->spelling, block_words(kind));
        return;
    }
    check_strength(maker, item, field);
    Clause *clause = ARENA_NEW(build->arena, Clause);
    clause->field = field;
    clause->strength = item->strength;
    clause->item = item;
    clause->home = maker->block;
    clause->reading = read_clause(maker, clause);
    *maker->clause_end = clause;
    maker->clause_end = &clause->next;
    check_said_once(maker, clause);
}

/* ------------------------------------------------------------------ blocks */

static bool may_stand(const BuildContext *build, const BlockType *type, BlockKind parent)
{
    if (type->where & (parent == BLOCK_NONE ? BLOCK_TOP : BLOCK_BIT(parent))) return true;
    static const BlockMask referred =
        BLOCK_BIT(BLOCK_PROTOCOL) | BLOCK_BIT(BLOCK_PLACE) | BLOCK_BIT(BLOCK_CONTAINER) |
        BLOCK_BIT(BLOCK_SPECIES) | BLOCK_BIT(BLOCK_VARIETY) | BLOCK_BIT(BLOCK_SITE) |
        BLOCK_BIT(BLOCK_SOURCE) | BLOCK_BIT(BLOCK_RECORD) | BLOCK_BIT(BLOCK_BATCH);
    return build->example && (referred & BLOCK_BIT(type->kind)) != 0;
}

static void fill(Maker *maker, const Item *items);

static bool is_example(BlockKind kind)
{
    return kind == BLOCK_BREAKS || kind == BLOCK_PASSES || kind == BLOCK_UNDECIDED;
}

static Block *start_block(const BuildContext *build, const BlockType *type, const Item *item)
{
    Block *block = ARENA_NEW(build->arena, Block);
    block->type = type;
    block->item = item;
    block->built_in = build->built_in;
    block->id = type->spelling;
    return block;
}

Block *block_make(const BuildContext *build, const Item *item, BlockKind parent, const char *parent_id)
{
    const BlockType *type = block_find(item->field);
    if (!type || !may_stand(build, type, parent)) {
        unknown_field(build, item, item->field, item->field_span, parent);
        return NULL;
    }
    if (item->strength != STRENGTH_PLAIN)
        notes_add(build->notes, SEVERITY_ERROR, "misplaced", item->strength_span,
                  "'%.*s' stands before a limit, not before a block",
                  SLICE_ARG(span_slice(item->strength_span)));
    Block *block = start_block(build, type, item);
    return block_read(build, block, item, parent_id) ? block : NULL;
}

bool block_read(const BuildContext *build, Block *block, const Item *item, const char *parent_id)
{
    block->item = item;
    if (!name_block(build, block, item)) return false;
    const char *own = block->name ? block->name->text : block->type->spelling;
    block->id = parent_id && *parent_id ? arena_print(build->arena, "%s/%s", parent_id, own) : own;
    if (is_example(block->type->kind)) return true; /* its inside is read as its rule's subject, later */
    Maker maker = {build, block, &block->clauses, &block->blocks, &block->lines};
    fill(&maker, item->first);
    if (block->type->kind == BLOCK_SCHEDULE) dial_check(build->notes, block);
    return true;
}

/* A protocol has one take, one stick …: of two the second would be asked by nobody. */
static void check_section_once(const Maker *maker, const Block *section)
{
    BlockKind kind = maker->block->type->kind;
    if (section->type->naming != NAMING_NONE || (kind != BLOCK_PROTOCOL && kind != BLOCK_PRACTICE)) return;
    const Block *first = block_child(maker->block, section->type->kind, NULL);
    if (!first) return;
    Note *note = notes_add(maker->build->notes, SEVERITY_ERROR, "duplicate", section->item->field_span,
                           "%s is written twice in one %s", section->type->spelling, block_words(kind));
    note->subject = maker->block->id;
    note->instead = "write both into one";
    note_place(note, first->item->field_span, "first written here");
}

static void fill(Maker *maker, const Item *items)
{
    const BuildContext *build = maker->build;
    BlockKind kind = maker->block->type->kind;
    for (const Item *item = items; item; item = item->next) {
        if (item->kind == ITEM_BROKEN) continue;
        if (item->kind == ITEM_DATED) {
            if (kind != BLOCK_RECORD) {
                notes_add(build->notes, SEVERITY_ERROR, "misplaced", item->span,
                          "a line that begins with a date stands in a record")
                    ->left_out = true;
                continue;
            }
            RecordLine *line = record_line_make(build, item, maker->block->id);
            if (!line) continue;
            *maker->line_end = line;
            maker->line_end = &line->next;
        } else if (item->kind == ITEM_BLOCK) {
            Block *inner = block_make(build, item, kind, maker->block->id);
            if (!inner) continue;
            check_section_once(maker, inner);
            *maker->block_end = inner;
            maker->block_end = &inner->next;
        } else {
            add_clause(maker, item);
        }
    }
}

Block *block_of_example(const BuildContext *context, const Item *item, BlockKind kind)
{
    BuildContext build = *context;
    build.example = true;
    Block *block = start_block(&build, &block_types[kind], item);
    block->name_span = item->field_span;
    Maker maker = {&build, block, &block->clauses, &block->blocks, &block->lines};
    fill(&maker, item->first);
    return block;
}

/* ------------------------------------------------------------------ looking things up */

const Clause *block_clause(const Block *block, const Field *field)
{
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next)
        if (clause->field == field) return clause;
    return NULL;
}

const Clause *block_limit(const Block *block, const Field *field)
{
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next)
        if (clause->field == field &&
            (clause->strength == STRENGTH_PLAIN || clause->strength == STRENGTH_MUST))
            return clause;
    return NULL;
}

const Clause *block_with(const Block *block, const Field *field, Strength strength)
{
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next)
        if (clause->field == field && clause->strength == strength) return clause;
    return NULL;
}

const Block *block_child(const Block *block, BlockKind kind, Name name)
{
    for (const Block *child = block ? block->blocks : NULL; child; child = child->next)
        if (child->type->kind == kind && (!name || child->name == name)) return child;
    return NULL;
}

const Clause *block_spoken(const Block *block, const Field *field, Slice language, size_t n)
{
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next) {
        if (clause->field != field || !clause->reading) continue;
        if (slice_equal(name_slice(clause->reading->language), language) && n-- == 0) return clause;
    }
    return NULL;
}

bool clause_is(const Clause *clause, const char *word)
{
    return clause && clause->reading && clause->reading->word_count == 1 &&
           slice_is(name_slice(clause->reading->words[0].name), word);
}

const Reading *block_reading(Arena *arena, const Block *block, const Field *field)
{
    const Reading *joined = NULL;
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next) {
        if (clause->field != field || clause->strength == STRENGTH_PREFER ||
            clause->strength == STRENGTH_NEVER)
            continue;
        if (!clause->reading) return NULL;
        joined = joined ? reading_joined(arena, joined, clause->reading) : clause->reading;
    }
    return joined;
}

bool block_has_been(const Block *block, Slice name)
{
    for (const Clause *clause = block->clauses; clause; clause = clause->next) {
        if (clause->field != FIELD_ROW(WAS) || !clause->reading) continue;
        for (size_t i = 0; i < clause->reading->word_count; i++)
            if (slice_equal(name_slice(clause->reading->words[i].name), name)) return true;
    }
    return false;
}

Span clause_value_place(const Clause *clause)
{
    return clause->item->value.first ? clause->item->value.span : clause->item->field_span;
}

Span clause_place(const Clause *clause)
{
    return span_join(clause->item->field_span, clause_value_place(clause));
}
