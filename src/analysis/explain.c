/* Making pages: one function for each kind of topic, which reads the rows of the tables. */
#include "analysis/explain.h"

#include "analysis/tryout.h"
#include "model/example.h"
#include "syntax/read.h"

#include <string.h>

typedef struct Maker {
    Arena *arena;
    const Nursery *nursery;
    ArenaExhausted *exhausted;
    Page *page;
} Maker;

static void fact(Maker *maker, const char *label, const char *text)
{
    if (text && *text) VEC_PUSH(maker->arena, &maker->page->facts, ((Fact){label, text}));
}

static void slice_fact(Maker *maker, const char *label, Slice text)
{
    if (text.length) fact(maker, label, arena_copy(maker->arena, text.at, text.length));
}

static void place_fact(Maker *maker, Span span)
{
    fact(maker, "written in",
         arena_print(maker->arena, "%s:%u", span.text->name, text_position(span.text, span.begin).line));
}

/* A list in words: "a, b". */
static void join(Maker *maker, const char **list, Slice word)
{
    *list = arena_print(maker->arena, "%s%s%.*s", *list ? *list : "", *list ? ", " : "", SLICE_ARG(word));
}

static const char *words_of(Maker *maker, const Field *field)
{
    const char *list = NULL;
    Slice word;
    for (size_t i = 0; field_word_at(field, i, &word); i++) join(maker, &list, word);
    return list;
}

static const char *blocks_in(Maker *maker, BlockMask mask)
{
    const char *list = NULL;
    if (mask & BLOCK_TOP) join(maker, &list, SLICE("the top of a file"));
    for (int kind = 1; kind < BLOCK_KINDS; kind++)
        if (mask & BLOCK_BIT(kind)) join(maker, &list, slice_of(block_types[kind].spelling));
    return list;
}

/* Of what check says to the bad one, that which the page is about; `name` NULL: the first. */
static void take_example(Maker *maker, Example example, const char *name)
{
    maker->page->good = example.good;
    maker->page->bad = example.bad;
    if (!example.bad) return;
    size_t count;
    Notes *notes = tryout(maker->arena, example_whole(maker->arena, &example, example.bad), maker->exhausted);
    Note *const *found = notes_sorted(notes, &count);
    for (size_t i = 0; i < count && !maker->page->told; i++)
        if (!name || !strcmp(found[i]->name, name))
            maker->page->told = arena_print(maker->arena, "%s [%s]", found[i]->message, found[i]->name);
}

/* ------------------------------------------------------------------ findings */

static void judged_fact(Maker *maker, Slice name)
{
    for (size_t i = 0; i < maker->nursery->judgement_count; i++) {
        const Judgement *judgement = &maker->nursery->judgements[i];
        if (!slice_equal(name_slice(judgement->name), name)) continue;
        fact(maker, "judged here",
             arena_print(maker->arena, "%s, because %.*s", severity_name[judgement->severity],
                         SLICE_ARG(judgement->clause->item->because)));
        return;
    }
}

static void finding_page(Maker *maker)
{
    const FindingInfo *finding = maker->page->topic->finding;
    maker->page->what = "a finding of the program";
    maker->page->meaning = arena_print(maker->arena, "%s. %s", finding->title, finding->meaning);
    fact(maker, "severity", severity_name[finding->severity]);
    judged_fact(maker, maker->page->topic->name);
    fact(maker, "instead", finding->remedy);
    take_example(maker, example_of_finding(maker->arena, finding), finding->name);
}

/* An example as it stands in the text of its rule: read again, because shipped rules may be kept without
 * them. */
static const char *rule_example(Maker *maker, const Rule *rule, const char *kind)
{
    const Text *text = rule->block->name_span.text;
    const Tree *tree = syntax_read(maker->arena, text, notes_new(maker->arena, 0));
    for (const Item *item = tree->first; item; item = item->next) {
        if (rule->block->name_span.begin < item->span.begin || rule->block->name_span.end > item->span.end)
            continue;
        for (const Item *inner = item->first; inner; inner = inner->next)
            if (slice_is(inner->field, kind))
                return arena_print(maker->arena, "%.*s\n", SLICE_ARG(span_slice(inner->span)));
    }
    return NULL;
}

static void condition_fact(Maker *maker, const char *label, const Clause *clause)
{
    if (clause && clause->item->condition)
        slice_fact(maker, label, span_slice(clause->item->condition->span));
}

static void rule_page(Maker *maker)
{
    const Rule *rule = maker->page->topic->rule;
    const Clause *told = rule_message(maker->nursery, rule);
    const char *scopes = NULL;
    for (size_t i = 0; i < rule->block->name_count; i++)
        join(maker, &scopes, name_slice(rule->block->names[i].name));
    maker->page->what = arena_print(maker->arena, "a rule %s, about %s",
                                    rule->block->built_in ? "that comes with the program" : "of the house",
                                    scopes ? scopes : "batch");
    if (rule->refused || !told) {
        maker->page->meaning = "It cannot be read as it is: see heelcut check.";
        return;
    }
    maker->page->meaning = arena_print(maker->arena, "%.*s", SLICE_ARG(told->reading->text));
    fact(maker, "severity", severity_name[rule->severity]);
    judged_fact(maker, maker->page->topic->name);
    const Clause *when = block_clause(rule->block, FIELD_ROW(WHEN_OF_RULE)),
                 *where = block_clause(rule->block, FIELD_ROW(WHERE));
    condition_fact(maker, "where", where);
    condition_fact(maker, "when", when);
    slice_fact(maker, "because", told->item->because);
    slice_fact(maker, "instead", told->item->instead);
    fact(maker, "source", nursery_cite(maker->nursery, maker->arena, told->item->citations));
    place_fact(maker, rule->block->name_span);
    maker->page->good = rule_example(maker, rule, "passes");
    maker->page->bad = rule_example(maker, rule, "breaks");
    maker->page->told = arena_print(maker->arena, "%s [%s]", maker->page->meaning, rule->name->text);
}

/* ------------------------------------------------------------------ fields and words */

static const char *units_of(Maker *maker, Dimension dimension)
{
    const char *list = NULL;
    for (size_t i = 0; i < unit_count && dimension != DIM_NONE; i++)
        if (unit_table[i].dimension == dimension && unit_is_word(slice_of(unit_table[i].spelling)))
            join(maker, &list, slice_of(unit_table[i].spelling));
    return list;
}

static const char *taken_by(Maker *maker, const Field *field)
{
    const char *title = field->type == TYPE_QUANTITY && field->dimension != DIM_NONE
                            ? dimension_name[field->dimension]
                            : value_types[field->type].title;
    if (field->type == TYPE_NAME) return arena_print(maker->arena, "the name of a %s", field->words);
    if (field->type == TYPE_WORDS) return title;
    return arena_print(maker->arena, "%s, as %s", title, field_example(field));
}

/* What stands in the vocabulary as a flag, as a sentence. */
static void flag_facts(Maker *maker, const Field *field)
{
    static const struct {
        unsigned flag;
        const char *label, *text;
    } flags[] = {
        {FIELD_KEEP, "written", "with keep before it in climate, hold and stage"},
        {FIELD_REPEATS, "repeats", "it may stand more than once; all count"},
        {FIELD_SPOKEN, "before",
         "a word may stand before the text: a language, as say es \"…\", or in a glossary what is meant"},
        {FIELD_UNASSUMED, "unstated",
         "what a batch does not state itself is unknown, whatever the protocol says"},
        {FIELD_ORDERED, "order", "the order of the list counts"},
        {FIELD_UNSILENCED, "accept", "findings about it cannot be accepted away"},
        {FIELD_COLUMN, "column", "it may head a column of a plan in CSV"},
    };
    for (size_t i = 0; i < sizeof flags / sizeof *flags; i++)
        if (field->flags & flags[i].flag) fact(maker, flags[i].label, flags[i].text);
}

static void field_page(Maker *maker)
{
    const Field *field = maker->page->topic->field;
    maker->page->what = arena_print(maker->arena, "a field of %s", blocks_in(maker, field->where));
    maker->page->meaning = field->help;
    fact(maker, "takes", taken_by(maker, field));
    if (field_lists_words(field)) fact(maker, "words", words_of(maker, field));
    fact(maker, "units", units_of(maker, field->dimension));
    fact(maker, "role",
         arena_print(maker->arena, "%s: %s", role_types[field->role].spelling, role_types[field->role].help));
    if (role_judges(field->role))
        fact(maker, "severity", "error after must and never, a note after prefer, else a warning");
    judged_fact(maker, maker->page->topic->name);
    flag_facts(maker, field);
    take_example(maker, example_of_field(maker->arena, field), NULL);
}

static void word_page(Maker *maker)
{
    const Field *field = maker->page->topic->field;
    const char *beside = NULL;
    Slice word;
    for (size_t i = 0; field_word_at(field, i, &word); i++)
        if (!slice_equal(word, maker->page->topic->name)) join(maker, &beside, word);
    maker->page->what = arena_print(maker->arena, "a word of %s", field->spelling);
    const char *help = word_help(field, maker->page->topic->name);
    maker->page->meaning = help ? help : field->help;
    if (help) fact(maker, "field", field->help);
    fact(maker, "beside", beside);
    fact(maker, "stands in", blocks_in(maker, field->where));
    take_example(maker, example_of_word(maker->arena, field, maker->page->topic->name), NULL);
}

/* ------------------------------------------------------------------ units, blocks, values, lines */

static const char *number_text(Maker *maker, Number number)
{
    char digits[48];
    return arena_copy(maker->arena, digits, number_write(digits, sizeof digits, number));
}

static void unit_page(Maker *maker)
{
    const Unit *unit = maker->page->topic->unit, *base = unit_base(unit->dimension);
    const char *same = NULL, *fields = NULL;
    for (size_t i = 0; i < unit_count; i++) {
        const Unit *other = &unit_table[i];
        if (other != unit && other->dimension == unit->dimension &&
            number_equal(other->factor, unit->factor) && number_equal(other->offset, unit->offset))
            join(maker, &same, slice_of(other->spelling));
    }
    for (size_t i = 0; i < field_count; i++)
        if (field_table[i].dimension == unit->dimension)
            join(maker, &fields, slice_of(field_table[i].spelling));
    maker->page->what = arena_print(maker->arena, "a unit of %s", dimension_name[unit->dimension]);
    maker->page->meaning = unit->help;
    if (base != unit && unit_is_word(slice_of(base->spelling)) && !unit->offset.num && !same)
        fact(maker, "is",
             arena_print(maker->arena, "%s %s, exactly", number_text(maker, unit->factor), base->spelling));
    if (unit->offset.num)
        fact(maker, "is",
             arena_print(maker->arena, "%s %s a degree, and %s %s at 0 %s", number_text(maker, unit->factor),
                         base->spelling, number_text(maker, unit->offset), base->spelling, unit->spelling));
    fact(maker, "also spelt", same);
    Example example = example_of_unit(maker->arena, unit);
    fact(maker, "fields", fields || example.good ? fields : "no field takes it yet");
    take_example(maker, example, NULL);
}

static void block_page(Maker *maker)
{
    static const char *const heads[] = {[NAMING_NONE] = "{ … }",
                                        [NAMING_ID] = "its-name \"title\" { … }",
                                        [NAMING_IDS] = "its-name { … }",
                                        [NAMING_TAXON] = "Genus species { … }",
                                        [NAMING_RULE] = "its-name on batch { … }",
                                        [NAMING_WORD] = "what-is-set { … }"};
    const BlockType *type = &block_types[maker->page->topic->block];
    const char *fields = NULL, *blocks = NULL;
    for (size_t i = 0; i < field_count; i++)
        if (field_stands_in(&field_table[i], type->kind))
            join(maker, &fields, slice_of(field_table[i].spelling));
    for (int kind = 1; kind < BLOCK_KINDS; kind++)
        if (block_types[kind].where & BLOCK_BIT(type->kind))
            join(maker, &blocks, slice_of(block_types[kind].spelling));
    maker->page->what = "a kind of block";
    maker->page->meaning = type->help;
    fact(maker, "stands in", blocks_in(maker, type->where));
    fact(maker, "begins", arena_print(maker->arena, "%s %s", type->spelling, heads[type->naming]));
    fact(maker, "fields", fields);
    fact(maker, "blocks", blocks);
    take_example(maker, example_of_block(maker->arena, type->kind), NULL);
}

static void derived_page(Maker *maker)
{
    const DerivedType *type = &derived_types[maker->page->topic->derived];
    const char *scopes = NULL;
    for (int scope = 0; scope < SCOPES; scope++)
        if (type->scopes & 1U << scope) join(maker, &scopes, slice_of(scope_name[scope]));
    maker->page->what =
        arena_print(maker->arena, "what rules about %s can ask for, and nobody writes", scopes);
    maker->page->meaning = type->help;
    fact(maker, "is",
         type->dimension != DIM_NONE ? dimension_name[type->dimension] : value_types[type->type].title);
    fact(maker, "units", units_of(maker, type->dimension));
    const char *words = NULL;
    Slice word;
    for (size_t i = 0; derived_word_at(maker->page->topic->derived, i, &word); i++) join(maker, &words, word);
    fact(maker, "words", words);
    take_example(maker, example_of_derived(maker->arena, maker->page->topic->derived), NULL);
}

static void verb_page(Maker *maker)
{
    Verb verb = maker->page->topic->verb;
    maker->page->what = "what a line of a record begins with, behind its day";
    maker->page->meaning = verb_table[verb].help;
    fact(maker, "stands in", "record");
    take_example(maker, example_of_verb(maker->arena, verb), NULL);
}

/* ------------------------------------------------------------------ things of the nursery */

static void named_page(Maker *maker)
{
    const Topic *topic = maker->page->topic;
    const Block *block = topic->named;
    const char *what = arena_print(maker->arena, "a %s of this nursery", block->type->spelling);
    for (size_t i = 2; i-- > 0;)
        if (topic->within[i])
            what = arena_print(maker->arena, "%s, in %s %s", what, topic->within[i]->type->spelling,
                               topic->within[i]->name ? topic->within[i]->name->text : "");
    maker->page->what = what;
    const Clause *say = block_clause(block, FIELD_ROW(SAY));
    Slice told = block->title;
    if (!told.length && say && say->reading) told = say->reading->text;
    maker->page->meaning =
        told.length ? arena_print(maker->arena, "%.*s", SLICE_ARG(told)) : block->type->help;
    for (const Clause *clause = block->clauses; clause; clause = clause->next)
        if (clause != say) slice_fact(maker, clause->field->spelling, span_slice(clause_value_place(clause)));
    place_fact(maker, block->name_span);
}

Page *page_of(const Nursery *nursery, const Topic *topic, ArenaExhausted *exhausted)
{
    static void (*const makers[TOPIC_KINDS])(Maker *) = {
        [TOPIC_FINDING] = finding_page, [TOPIC_RULE] = rule_page, [TOPIC_BLOCK] = block_page,
        [TOPIC_FIELD] = field_page,     [TOPIC_WORD] = word_page, [TOPIC_UNIT] = unit_page,
        [TOPIC_DERIVED] = derived_page, [TOPIC_VERB] = verb_page, [TOPIC_NAMED] = named_page};
    Page *page = ARENA_NEW(nursery->arena, Page);
    page->topic = topic;
    Maker maker = {nursery->arena, nursery, exhausted, page};
    makers[topic->kind](&maker);
    return page;
}
