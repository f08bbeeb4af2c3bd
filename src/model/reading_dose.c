/* Readers of what things are made of and how many fit: doses, mixes by parts, containers, places.
 *
 * Given a value, each makes a list of pairs: a strength and its form, parts and their component, a number and
 * its container, a place and the stage from which. Which forms there are is in the vocabulary; that the same
 * figure in two forms is two doses is why none goes without.
 */
#include "model/reading_internal.h"

/* ------------------------------------------------------------------ doses */

/* The name of a substance is written in capitals. */
static bool is_substance(const Part *part)
{
    if (!part || part->kind != PART_WORD) return false;
    for (size_t i = 0; i < part->word.length; i++) {
        char c = part->word.at[i];
        bool capital = (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-';
        if (!capital) return false;
    }
    return true;
}

static bool refuse_form(const Reader *reader, const Part *part, const char *what)
{
    Nearest nearest;
    nearest_start(&nearest, part->word);
    vocabulary_nearest_word(&nearest, reader->field);
    return reader_refuse(reader, "unknown-word", part->span, "'%.*s' is no %s%s", SLICE_ARG(part->word), what,
                         reader_hint(reader, &nearest, reader_list(reader, "none")));
}

static bool dose_strength(const Reader *reader, const Part **part, bool *has_strength, Dose *dose)
{
    Span place = (*part)->span;
    Amount amount;
    if (!amount_read(reader, reader->field->dimension, BARE_NEEDS_UNIT, part, &amount)) return false;
    if (*has_strength) return reader_refuse(reader, "value", place, "a dose has one strength");
    *has_strength = true;
    dose->strength = amount.interval;
    dose->unit = amount.unit;
    return true;
}

static bool dose_time(const Reader *reader, const Part **part, Dose *dose)
{
    Span place = (*part)->span;
    Amount amount;
    if (!amount_read(reader, DIM_DURATION, BARE_NEEDS_UNIT, part, &amount)) return false;
    if (dose->has_time) return reader_refuse(reader, "value", place, "a dose has one time");
    dose->has_time = true;
    dose->time = amount.interval;
    return true;
}

static bool dose_form(const Reader *reader, const Part *part, Dose *dose)
{
    if (part->kind != PART_WORD) return reader_refuse_part(reader, part);
    if (!field_has_word(reader->field, part->word)) return refuse_form(reader, part, "form of it");
    if (slice_is(part->word, "none"))
        return reader_refuse(reader, "value", part->span, "none stands alone: write it first, then a comma");
    if (dose->form) return reader_refuse(reader, "value", part->span, "a dose has one form");
    dose->form = reader_intern(reader, part->word);
    return true;
}

/* Several of one mixture are joined. */
static bool dose_substance(const Reader *reader, const Part **part, Dose *dose)
{
    if ((*part)->kind != PART_WORD) return reader_refuse_part(reader, *part);
    if (!is_substance(*part)) return refuse_form(reader, *part, "hormone: its name is written in capitals");
    const char *joined = "";
    for (; is_substance(*part); *part = (*part)->next)
        joined = arena_print(reader->context->arena, "%s%s%.*s", joined, *joined ? "+" : "",
                             SLICE_ARG((*part)->word));
    dose->auxin = reader_intern(reader, slice_of(joined));
    return true;
}

static bool dose_complete(const Reader *reader, const Phrase *phrase, bool has_strength, const Dose *dose)
{
    Slice shown = slice_folded(reader->context->arena, span_slice(phrase->span));
    if (!has_strength)
        return reader_refuse(reader, "value", phrase->span, "%.*s: how strong? for example %s",
                             SLICE_ARG(shown), value_types[TYPE_DOSE].example);
    if (!dose->form)
        return reader_refuse(reader, "value", phrase->span,
                             "%.*s: in which form? %s; the same figure is another dose in each",
                             SLICE_ARG(shown), reader_list(reader, "none"));
    return true;
}

static bool read_one_dose(const Reader *reader, const Phrase *phrase, Dose *dose)
{
    const Part *part = phrase->first;
    if (part_is(part, "none") && field_has_word(reader->field, part->word)) {
        dose->none = true;
        dose->strength = interval_closed(NUMBER(0), NUMBER(0));
        dose->unit = unit_base(reader->field->dimension);
        return reader_end(reader, part->next);
    }
    if (!dose_substance(reader, &part, dose)) return false;
    bool has_strength = false;
    while (part) {
        if (!part_is_amount(part)) {
            if (!dose_form(reader, part, dose)) return false;
            part = part->next;
        } else if (part_dimension(part) == DIM_DURATION) {
            if (!dose_time(reader, &part, dose)) return false;
        } else if (!dose_strength(reader, &part, &has_strength, dose)) {
            return false;
        }
    }
    return dose_complete(reader, phrase, has_strength, dose);
}

bool read_dose(const Reader *reader, const Value *value, Reading *reading)
{
    VEC(Dose) doses = {0};
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        const Phrase *phrase = reader_phrase(reader, mix);
        if (!phrase || !read_one_dose(reader, phrase, VEC_ADD(reader->context->arena, &doses))) return false;
    }
    reading->none = doses.count == 1 && doses.at[0].none;
    reading->unit = doses.at[0].unit;
    reading->doses = doses.at;
    reading->dose_count = doses.count;
    return true;
}

/* ------------------------------------------------------------------ mixes */

static bool read_component(const Reader *reader, const Phrase *phrase, bool alone, MixPart *mixed)
{
    const Part *part = phrase->first;
    mixed->parts = NUMBER(1);
    if (part->kind == PART_QUANTITY) {
        mixed->parts = part->quantity.number;
        if (part->quantity.unit.length)
            return reader_refuse(reader, "value", part->span, "a mix is written in parts, without a unit: %s",
                                 value_types[TYPE_MIX].example);
        if (mixed->parts.num <= 0) return reader_refuse(reader, "value", part->span, "parts are more than 0");
        if (!part->next)
            return reader_refuse(reader, "value", part->span, "parts of what? for example %s",
                                 value_types[TYPE_MIX].example);
        part = part->next;
    } else if (part->kind == PART_WORD && !alone) {
        return reader_refuse(reader, "value", part->span, "how many parts of it? for example %s",
                             value_types[TYPE_MIX].example);
    }
    Span span;
    mixed->component = reader_name(reader, &part, &span);
    if (!mixed->component) return reader_refuse_part(reader, part);
    return reader_end(reader, part);
}

bool read_mix(const Reader *reader, const Value *value, Reading *reading)
{
    if (value->first->next)
        return reader_refuse(reader, "value", value->first->next->span,
                             "%s takes one mix, its parts joined by colons: %s", reader->field->spelling,
                             value_types[TYPE_MIX].example);
    VEC(MixPart) parts = {0};
    const Phrase *first = value->first->first;
    for (const Phrase *phrase = first; phrase; phrase = phrase->next) {
        MixPart *mixed = VEC_ADD(reader->context->arena, &parts);
        if (!read_component(reader, phrase, !first->next, mixed)) return false;
        for (size_t i = 0; i + 1 < parts.count; i++)
            if (parts.at[i].component == mixed->component)
                return reader_refuse(reader, "value", phrase->span, "%s stands in this mix twice",
                                     mixed->component->text);
    }
    reading->mix = parts.at;
    reading->mix_count = parts.count;
    return true;
}

/* ------------------------------------------------------------------ places and containers */

bool read_stands(const Reader *reader, const Value *value, Reading *reading)
{
    VEC(Standing) standings = {0};
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        const Phrase *phrase = reader_phrase(reader, mix);
        if (!phrase) return false;
        const Part *part = phrase->first;
        Slice place, from;
        if (!part_word(part, &place)) return reader_refuse_part(reader, part);
        Standing *standing = VEC_ADD(reader->context->arena, &standings);
        standing->place = reader_intern(reader, place);
        part = part->next;
        if (part_is(part, "from")) {
            if (!part_word(part->next, &from))
                return reader_refuse(reader, "value", part->span,
                                     "from which stage? for example frame from winter");
            standing->from = reader_intern(reader, from);
            part = part->next->next;
        }
        if (!reader_end(reader, part)) return false;
    }
    reading->standings = standings.at;
    reading->standing_count = standings.count;
    return true;
}

bool read_holds(const Reader *reader, const Value *value, Reading *reading)
{
    VEC(Holding) holdings = {0};
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        const Phrase *phrase = reader_phrase(reader, mix);
        if (!phrase) return false;
        const Part *part = phrase->first;
        Slice container;
        if (part->kind != PART_QUANTITY || part->quantity.unit.length)
            return reader_refuse_part(reader, part);
        Number count = part->quantity.number;
        if (count.den != 1 || count.num < 1)
            return reader_refuse(reader, "value", part->span, "a whole number of containers, at least 1");
        if (!part_word(part->next, &container))
            return reader_refuse(reader, "value", part->span, "how many of which container? for example %s",
                                 value_types[TYPE_HOLDS].example);
        Holding *holding = VEC_ADD(reader->context->arena, &holdings);
        *holding = (Holding){count, reader_intern(reader, container)};
        for (size_t i = 0; i + 1 < holdings.count; i++)
            if (holdings.at[i].container == holding->container)
                return reader_refuse(reader, "value", part->next->span, "%s stands here twice",
                                     holding->container->text);
        if (!reader_end(reader, part->next->next)) return false;
    }
    reading->holdings = holdings.at;
    reading->holding_count = holdings.count;
    return true;
}
