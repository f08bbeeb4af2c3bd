/* Readers of words: closed lists, free words, names, a plant's name, texts, fields, and what is said about
 * clauses.
 *
 * Given a value, each makes a list of interned names. A word of a closed list must be in it, and a field must
 * be one; whether a name is that of anything is known only when all files are read.
 */
#include "model/reading_internal.h"

typedef VEC(Word) Words;

static bool add_word(const Reader *reader, Words *words, Name name, Span span)
{
    for (size_t i = 0; i < words->count; i++)
        if (words->at[i].name == name)
            return reader_refuse(reader, "value", span, "%s stands here twice", name->text);
    VEC_PUSH(reader->context->arena, words, ((Word){name, reader->placed ? span : (Span){NULL, 0, 0}}));
    return true;
}

static bool keep_words(const Words *words, Reading *reading)
{
    reading->words = words->at;
    reading->word_count = words->count;
    return true;
}

/* What something is, or when it is done, is one thing; other fields may list several. */
static bool list_allowed(const Reader *reader, const Value *value)
{
    const Field *field = reader->field;
    bool one = (field->role == ROLE_IDENTITY || field->role == ROLE_SCHEDULE) &&
               !(field->flags & (FIELD_REPEATS | FIELD_ORDERED));
    if (!one || !value->first->next) return true;
    return reader_refuse(reader, "value", value->first->next->span, "%s takes one word, not a list",
                         field->spelling);
}

/* ------------------------------------------------------------------ closed lists */

static bool add_listed(const Reader *reader, const Phrase *phrase, Words *words)
{
    const Part *part = phrase->first;
    Span span;
    Name name = reader_name(reader, &part, &span);
    if (!name) return reader_refuse_part(reader, part);
    if (field_has_word(reader->field, name_slice(name)))
        return add_word(reader, words, name, span) && reader_end(reader, part);
    Nearest nearest;
    nearest_start(&nearest, name_slice(name));
    vocabulary_nearest_word(&nearest, reader->field);
    return reader_refuse(reader, "unknown-word", span, "%s takes no '%s'%s", reader->field->spelling,
                         name->text, reader_hint(reader, &nearest, reader_list(reader, "")));
}

bool read_words(const Reader *reader, const Value *value, Reading *reading)
{
    Words words = {0};
    if (!list_allowed(reader, value)) return false;
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        const Phrase *phrase = reader_phrase(reader, mix);
        if (!phrase || !add_listed(reader, phrase, &words)) return false;
    }
    if (words.count > 1 && slice_is(slice_of(reader->field->words), "yes|no"))
        return reader_refuse(reader, "value", value->span, "%s is yes or no, not both",
                             reader->field->spelling);
    Slice first = name_slice(words.at[0].name);
    reading->none = words.count == 1 && slice_is(first, "none");
    reading->any = words.count == 1 && slice_is(first, "any");
    return keep_words(&words, reading);
}

/* ------------------------------------------------------------------ free words */

/* A free value with a dimension begins with an amount: 50 .. 75 ppm N. */
static bool free_amount(const Reader *reader, const Part **part, Reading *reading)
{
    Dimension dimension = reader->field->dimension;
    if (dimension == DIM_NONE) return true;
    if (!part_is_amount(*part))
        return reader_refuse(reader, "value", (*part)->span, "%s begins with %s: %s", reader->field->spelling,
                             dimension_name[dimension], dimension_example(dimension));
    Amount amount;
    if (!amount_read(reader, dimension, BARE_NEEDS_UNIT, part, &amount)) return false;
    Arena *arena = reader->context->arena;
    reading->numbers = intervals_union(arena, reading->numbers, intervals_of(arena, &amount.interval, 1));
    if (!reading->unit) reading->unit = amount.unit;
    return true;
}

static bool add_free(const Reader *reader, const Phrase *phrase, Words *words, Reading *reading)
{
    const Part *part = phrase->first;
    if (!free_amount(reader, &part, reading)) return false;
    Span span;
    if (part && part->kind == PART_TEXT) {
        if (!add_word(reader, words, reader_intern(reader, part->word), part->span)) return false;
        return reader_end(reader, part->next);
    }
    Name name = part ? reader_name(reader, &part, &span) : NULL;
    if (name) return add_word(reader, words, name, span) && reader_text(reader, part, reading);
    return part ? reader_refuse_part(reader, part)
                : reader_refuse(reader, "value", phrase->span, "%s of what?", reader->field->spelling);
}

bool read_free(const Reader *reader, const Value *value, Reading *reading)
{
    Words words = {0};
    if (!list_allowed(reader, value)) return false;
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        const Phrase *phrase = reader_phrase(reader, mix);
        if (!phrase || !add_free(reader, phrase, &words, reading)) return false;
    }
    return keep_words(&words, reading);
}

/* One word; what follows it is left to the caller. */
static bool add_single(const Reader *reader, const Part **part, Words *words)
{
    Slice word;
    if (!part_word(*part, &word)) return reader_refuse_part(reader, *part);
    Span span = (*part)->span;
    *part = (*part)->next;
    return add_word(reader, words, reader_intern(reader, word), span);
}

bool read_counts(const Reader *reader, const Value *value, Reading *reading)
{
    Words words = {0};
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        const Phrase *phrase = reader_phrase(reader, mix);
        const Part *part = phrase ? phrase->first : NULL;
        if (!phrase || !add_single(reader, &part, &words)) return false;
        bool sample = part_is(part, "of") && part_is(part->next, "a") && part_is(part->next->next, "sample");
        if (sample && !mix->next) {
            reading->of_a_sample = true;
            part = part->next->next->next;
        }
        if (!reader_end(reader, part)) return false;
    }
    return keep_words(&words, reading);
}

bool read_name(const Reader *reader, const Value *value, Reading *reading)
{
    Words words = {0};
    if (!list_allowed(reader, value)) return false;
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        const Phrase *phrase = reader_phrase(reader, mix);
        const Part *part = phrase ? phrase->first : NULL;
        if (!phrase || !add_single(reader, &part, &words) || !reader_end(reader, part)) return false;
    }
    return keep_words(&words, reading);
}

bool read_taxon(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "plant a clause");
    if (!phrase) return false;
    Arena *arena = reader->context->arena;
    VEC(Word) words = {0}; /* a word may stand twice in it */
    const Part *part = phrase->first;
    Slice word;
    for (; part_word(part, &word); part = part->next)
        VEC_PUSH(arena, &words,
                 ((Word){reader_intern(reader, word), reader->placed ? part->span : (Span){NULL, 0, 0}}));
    if (!words.count) return reader_refuse_part(reader, part);
    reading->words = words.at;
    reading->word_count = words.count;
    return reader_text(reader, part, reading);
}

/* ------------------------------------------------------------------ texts */

static bool add_text(const Reader *reader, const Part *part, Words *words, Reading *reading)
{
    if (!part)
        return reader_refuse(reader, "value", reader->place, "%s takes %s", reader->field->spelling,
                             reader_takes(reader));
    if (part->kind != PART_TEXT) return reader_refuse_part(reader, part);
    if (!part->word.length) return reader_refuse(reader, "value", part->span, "this text is empty");
    if (!words->count) reading->text = reader_copy(reader, part->word);
    VEC_PUSH(reader->context->arena, words,
             ((Word){reader_intern(reader, part->word), reader->placed ? part->span : (Span){NULL, 0, 0}}));
    return true;
}

/* What may follow a text, by the words of its field: an end date, a second text. */
static bool behind_text(const Reader *reader, const Part *part, Words *words, Reading *reading)
{
    const Field *field = reader->field;
    if (part_is(part, "until") && field_has_word(field, SLICE("until"))) {
        part = part->next;
        return date_read(reader, &part, reading) && reader_end(reader, part);
    }
    if (part && part->kind == PART_TEXT && field_has_word(field, SLICE("text")))
        return add_text(reader, part, words, reading) && reader_end(reader, part->next);
    return reader_end(reader, part);
}

/* A text that stands alone where it says nothing without the word before it, or the text behind it. */
static bool lacks_pair(const Reader *reader, const Part *part, const Reading *reading)
{
    const Field *field = reader->field;
    bool alone = part && part->kind == PART_TEXT && !reading->language &&
                 (!part->next || part->next->kind != PART_TEXT);
    if (!(field->flags & FIELD_PAIRED) || !alone) return false;
    bool of_word = field->flags & FIELD_SPOKEN;
    reader_refuse(reader, "value", part->span, "%s takes %s", field->spelling,
                  of_word ? "a word, and behind it what is printed for it in quotes"
                          : "two texts in quotes: as it is written, and what is printed for it");
    return true;
}

bool read_text(const Reader *reader, const Value *value, Reading *reading)
{
    const Field *field = reader->field;
    Words words = {0};
    if (value->first->next && !field_has_word(field, SLICE("list")))
        return reader_refuse(reader, "value", value->first->next->span,
                             "%s takes one text in quotes, not a list", field->spelling);
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        const Phrase *phrase = reader_phrase(reader, mix);
        if (!phrase) return false;
        const Part *part = phrase->first;
        Slice language;
        if ((field->flags & FIELD_SPOKEN) && part_word(part, &language)) {
            reading->language = reader_intern(reader, language);
            part = part->next;
        }
        if (lacks_pair(reader, part, reading)) return false;
        if (!add_text(reader, part, &words, reading) || !behind_text(reader, part->next, &words, reading))
            return false;
    }
    return keep_words(&words, reading);
}

/* ------------------------------------------------------------------ fields */

static bool refuse_field(const Reader *reader, const Part *part, BlockKind block)
{
    Nearest nearest;
    nearest_start(&nearest, part->word);
    for (size_t i = 0; i < field_count; i++)
        if (block == BLOCK_NONE || field_stands_in(&field_table[i], block))
            nearest_try(&nearest, slice_of(field_table[i].spelling));
    return reader_refuse(reader, "unknown-word", part->span, "no field '%.*s' %s%s", SLICE_ARG(part->word),
                         block == BLOCK_BATCH ? "of a batch" : "is known", reader_hint(reader, &nearest, ""));
}

/* What a batch must state is a field of a batch; what a rule reads may be one of any block. */
static const Field *field_meant(const Reader *reader, Slice word)
{
    const Field *field = field_find(word, BLOCK_BATCH);
    return field || !field_stands_in(reader->field, BLOCK_RULE) ? field : field_find_from(word, NULL);
}

bool read_fields(const Reader *reader, const Value *value, Reading *reading)
{
    Words words = {0};
    VEC(const Field *) fields = {0};
    if (!list_allowed(reader, value)) return false;
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        const Phrase *phrase = reader_phrase(reader, mix);
        const Part *part = phrase ? phrase->first : NULL;
        if (!phrase || !add_single(reader, &part, &words)) return false;
        const Field *field = field_meant(reader, name_slice(words.at[words.count - 1].name));
        if (!field)
            return refuse_field(reader, phrase->first,
                                field_stands_in(reader->field, BLOCK_RULE) ? BLOCK_NONE : BLOCK_BATCH);
        VEC_PUSH(reader->context->arena, &fields, field);
        if (!reader_end(reader, part)) return false;
    }
    reading->fields = fields.at;
    return keep_words(&words, reading);
}

/* ------------------------------------------------------------------ what is taken away */

static bool drop_strength(const Part *part, Strength *strength)
{
    static const struct {
        const char *word;
        Strength strength;
    } words[] = {{"must", STRENGTH_MUST}, {"prefer", STRENGTH_PREFER}, {"never", STRENGTH_NEVER}};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (!part_is(part, words[i].word)) continue;
        *strength = words[i].strength;
        return true;
    }
    return false;
}

/* task NAME, stage NAME, schedule NAME */
static bool drop_named(const Reader *reader, const Part *part, BlockKind kind, Words *words, Reading *reading)
{
    reading->drop_block = kind;
    reading->drop_any_strength = true;
    if (!part->next)
        return reader_refuse(reader, "value", part->span, "which %s? for example drop %s",
                             block_types[kind].spelling,
                             kind == BLOCK_SCHEDULE ? "schedule mist" : "task pot");
    const Part *named = part->next;
    return add_single(reader, &named, words) && reader_end(reader, named);
}

/* [must|prefer|never] FIELD [WORDS], ask FIELD */
static bool drop_field(const Reader *reader, const Part *part, Words *words, Reading *reading)
{
    reading->drop_any_strength = !drop_strength(part, &reading->drop_strength);
    const Part *named = reading->drop_any_strength ? part : part->next;
    if (!named || named->kind != PART_WORD)
        return reader_refuse(reader, "value", part->span,
                             "what is taken away? for example drop prefer window");
    if (!field_find_from(named->word, NULL)) return refuse_field(reader, named, BLOCK_NONE);
    const Field *field = field_find_from(named->word, NULL);
    const Part *behind = named;
    if (!add_single(reader, &behind, words)) return false;
    while (behind) {
        if (field->type == TYPE_FIELDS && behind->kind == PART_WORD && !field_find(behind->word, BLOCK_BATCH))
            return refuse_field(reader, behind, BLOCK_BATCH);
        if (!add_single(reader, &behind, words)) return false;
    }
    return true;
}

bool read_drop(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "thing a clause");
    if (!phrase) return false;
    const Part *part = phrase->first;
    if (part->kind != PART_WORD) return reader_refuse_part(reader, part);
    Words words = {0};
    const BlockType *block = block_find(part->word);
    bool named =
        block && (block->kind == BLOCK_TASK || block->kind == BLOCK_STAGE || block->kind == BLOCK_SCHEDULE);
    bool read = named ? drop_named(reader, part, block->kind, &words, reading)
                      : drop_field(reader, part, &words, reading);
    return keep_words(&words, reading) && read;
}

/* ------------------------------------------------------------------ findings */

bool read_accept(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "finding a clause");
    if (!phrase) return false;
    Words words = {0};
    const Part *part = phrase->first;
    return add_single(reader, &part, &words) && reader_end(reader, part) && keep_words(&words, reading);
}

static bool severity_read(const Reader *reader, const Part *part, Severity *severity)
{
    if (!part || part->kind != PART_WORD)
        return reader_refuse(reader, "value", part ? part->span : reader->place,
                             "judged as what? error, warning, note or off");
    Nearest nearest;
    nearest_start(&nearest, part->word);
    for (int i = 0; i < SEVERITIES; i++) {
        *severity = (Severity)i;
        if (slice_is(part->word, severity_name[i])) return reader_end(reader, part->next);
        nearest_try(&nearest, slice_of(severity_name[i]));
    }
    return reader_refuse(reader, "unknown-word", part->span, "nothing is judged as '%.*s'%s",
                         SLICE_ARG(part->word), reader_hint(reader, &nearest, "error, warning, note, off"));
}

bool read_judge(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "finding a clause");
    if (!phrase) return false;
    Words words = {0};
    const Part *part = phrase->first;
    if (!add_single(reader, &part, &words)) return false;
    if (!part_is(part, "as"))
        return reader_refuse(reader, "value", part ? part->span : phrase->span, "%s takes %s (%s)",
                             reader->field->spelling, value_types[TYPE_JUDGE].title,
                             value_types[TYPE_JUDGE].example);
    return severity_read(reader, part->next, &reading->severity) && keep_words(&words, reading);
}

/* pot to 3 Aug 2027; pot 2 to 3 Aug 2027 */
bool read_move(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "task a clause");
    if (!phrase) return false;
    Words words = {0};
    const Part *part = phrase->first;
    if (!add_single(reader, &part, &words)) return false;
    if (part && part->kind == PART_QUANTITY) {
        Number count = part->quantity.number;
        if (part->quantity.unit.length || count.den != 1 || count.num < 1)
            return reader_refuse(reader, "value", part->span, "which time of the task? 1, 2, 3 …");
        Interval point = interval_closed(count, count);
        reading->numbers = intervals_of(reader->context->arena, &point, 1);
        part = part->next;
    }
    if (!part_is(part, "to"))
        return reader_refuse(reader, "value", part ? part->span : phrase->span,
                             "to which day? for example %s", value_types[TYPE_MOVE].example);
    part = part->next;
    if (!date_read(reader, &part, reading)) return false;
    if (reading->first != reading->last)
        return reader_refuse(reader, "value", phrase->span, "%s takes one day: %s", reader->field->spelling,
                             value_types[TYPE_MOVE].example);
    return keep_words(&words, reading) && reader_text(reader, part, reading);
}
