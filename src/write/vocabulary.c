/* Blocks, fields, values, units, what rules can ask for, records and findings: each table from its one
 * definition. */
#include "write/vocabulary.h"

#include "model/finding.h"
#include "model/record.h"
#include "model/vocabulary.h"

#include <string.h>

/* The words of a field's list, `lead` before them and `last` before the last of several. */
static void write_words(Buffer *out, const Field *field, const char *lead, const char *last)
{
    Slice word, next;
    for (size_t i = 0; field_word_at(field, i, &word); i++) {
        bool ends = i > 0 && !field_word_at(field, i + 1, &next);
        buffer_text(out, i == 0 ? lead : ends ? last : ", ");
        buffer_slice(out, word);
    }
}

static void write_blocks(Buffer *out)
{
    buffer_text(out, "## Blocks\n\n| block | stands in | what it is |\n| --- | --- | --- |\n");
    for (int kind = 1; kind < BLOCK_KINDS; kind++) {
        const BlockType *type = &block_types[kind];
        buffer_print(out, "| `%s` | ", type->spelling);
        const char *separator = "";
        if (type->where & BLOCK_TOP) buffer_text(out, "a file");
        for (int parent = 1; parent < BLOCK_KINDS; parent++) {
            if (!(type->where & BLOCK_BIT(parent))) continue;
            buffer_print(out, "%s%s", separator, block_types[parent].spelling);
            separator = ", ";
        }
        buffer_print(out, " | %s |\n", type->help);
    }
}

/* What may follow a text, by the word that stands in its row. */
static const char *after_text(const Field *field)
{
    static const struct {
        const char *word, *told;
    } rows[] = {{"until", ", and until when"}, {"text", ", and a second one"}, {"list", ", or several"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (!strcmp(rows[i].word, field->words)) return rows[i].told;
    return "";
}

static void write_taken(Buffer *out, const Field *field)
{
    bool measured = field->type == TYPE_QUANTITY || field->type == TYPE_RATE;
    if (field->type != TYPE_WORDS && field->type != TYPE_NAME)
        buffer_text(out, !measured                      ? value_types[field->type].title
                         : field->dimension == DIM_NONE ? "a number"
                                                        : dimension_name[field->dimension]);
    switch (field->type) {
    case TYPE_WORDS: write_words(out, field, "", ", "); break;
    case TYPE_QUANTITY:
    case TYPE_MIX: write_words(out, field, ", or ", " or "); break;
    case TYPE_RATE: write_words(out, field, " per ", " or "); break;
    case TYPE_RATED: write_words(out, field, ", which may say ", " or "); break;
    case TYPE_DOSE: write_words(out, field, ": ", " or "); break;
    case TYPE_NAME: buffer_print(out, "the name of a %s", field->words); break;
    case TYPE_TEXT: buffer_text(out, after_text(field)); break;
    default: break; /* its title says it */
    }
}

/* A place and a batch say what they have; only a protocol says what is to be kept. */
static bool states_without_keep(BlockKind kind)
{
    return kind == BLOCK_PLACE || kind == BLOCK_BATCH || kind == BLOCK_WAY;
}

static void write_field(Buffer *out, const Field *field, BlockKind kind)
{
    bool kept = (field->flags & FIELD_KEEP) && !states_without_keep(kind);
    buffer_print(out, "| `%s%s` | ", kept ? "keep " : "", field->spelling);
    write_taken(out, field);
    buffer_print(out, " | %s%s%s | %s |\n", role_types[field->role].spelling,
                 (field->flags & FIELD_REPEATS) ? ", repeats" : "",
                 (field->flags & FIELD_UNASSUMED) ? ", never assumed" : "", field->help);
}

static void write_roles(Buffer *out)
{
    buffer_text(out, "A field's role says what it is for, and whether a clause of it judges batches:\n\n"
                     "| role | judges | what it is |\n| --- | --- | --- |\n");
    for (int role = 0; role < ROLES; role++)
        buffer_print(out, "| *%s* | %s | %s |\n", role_types[role].spelling,
                     role_types[role].judges ? "yes" : "no", role_types[role].help);
    buffer_text(out, "\n*Repeats*: it may stand more than once in a block, and all of them count. *Never "
                     "assumed*: what a batch leaves out\nis not taken from its protocol. Where `keep` stands "
                     "before a field, it is written with it.\n");
}

static void write_fields(Buffer *out)
{
    buffer_text(out, "\n## Fields\n\n");
    write_roles(out);
    for (int kind = 1; kind < BLOCK_KINDS; kind++) {
        bool any = false;
        for (size_t i = 0; i < field_count; i++)
            any = any || field_stands_in(&field_table[i], (BlockKind)kind);
        if (!any) continue;
        buffer_print(out, "\n### %s\n\n| field | takes | role | what it says |\n| --- | --- | --- | --- |\n",
                     block_types[kind].spelling);
        for (size_t i = 0; i < field_count; i++)
            if (field_stands_in(&field_table[i], (BlockKind)kind))
                write_field(out, &field_table[i], (BlockKind)kind);
    }
}

static void write_values(Buffer *out)
{
    buffer_text(out, "\n## Values\n\n| value | example |\n| --- | --- |\n");
    for (int i = 0; i < VALUE_TYPES; i++)
        buffer_print(out, "| %s | `%s` |\n", value_types[i].title, value_types[i].example);
}

static void write_units(Buffer *out)
{
    buffer_text(
        out,
        "\n## Units\n\nConversions are exact.\n\n| unit | measures | what it is |\n| --- | --- | --- |\n");
    for (size_t i = 0; i < unit_count; i++) {
        if (!strcmp(unit_table[i].spelling, "of 1")) continue;
        buffer_print(out, "| `%s` | %s | %s |\n", unit_table[i].spelling,
                     dimension_name[unit_table[i].dimension], unit_table[i].help);
    }
}

static void write_derived(Buffer *out)
{
    buffer_text(out, "\n## What rules can ask for and nobody writes\n\n| name | in rules about | what it is "
                     "|\n| --- | --- | --- |\n");
    for (int i = 1; i < DERIVED_VALUES; i++) {
        buffer_print(out, "| `%s` | ", derived_types[i].spelling);
        const char *separator = "";
        for (int scope = 0; scope < SCOPES; scope++) {
            if (!(derived_types[i].scopes & (1U << scope))) continue;
            buffer_print(out, "%s%s", separator, scope_name[scope]);
            separator = ", ";
        }
        buffer_print(out, " | %s |\n", derived_types[i].help);
    }
}

static void write_verbs(Buffer *out)
{
    buffer_text(out, "\n## Records\n\n| line begins with | as in | what happened |\n| --- | --- | --- |\n");
    for (int i = 0; i < VERBS; i++) {
        const char *word = verb_table[i].spelling, *example = verb_example((Verb)i);
        buffer_print(out, "| `%s` | `%s%s%s` | %s |\n", word, word, *example ? " " : "", example,
                     verb_table[i].help);
    }
}

static void write_findings(Buffer *out)
{
    buffer_text(
        out,
        "\n## Findings of the program itself\n\n| name | severity | what it means |\n| --- | --- | --- |\n");
    for (size_t i = 0; i < finding_count; i++)
        buffer_print(out, "| `%s` | %s | %s |\n", finding_table[i].name,
                     severity_name[finding_table[i].severity], finding_table[i].title);
}

void vocabulary_write(Buffer *out)
{
    buffer_text(out, "# The vocabulary\n\nEvery block, field, value and unit of the language, and every "
                     "finding of the program. This page is written by\n"
                     "`heelcut check --dump vocabulary`; the tests fail when it is out of date.\n\n");
    write_blocks(out);
    write_fields(out);
    write_values(out);
    write_units(out);
    write_derived(out);
    write_verbs(out);
    write_findings(out);
}
