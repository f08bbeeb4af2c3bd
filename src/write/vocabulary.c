/* Blocks, fields, values, units, what rules can ask for, records and findings: each table from its one
 * definition. */
#include "write/vocabulary.h"

#include "model/record.h"
#include "model/vocabulary.h"

#include <string.h>

static void write_words(Buffer *out, const Field *field)
{
    Slice word;
    for (size_t i = 0; field_word_at(field, i, &word); i++) {
        buffer_text(out, i ? ", " : "");
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

static void write_field(Buffer *out, const Field *field)
{
    const ValueTypeInfo *info = &value_types[field->type];
    buffer_print(out, "| `%s%s` | ", (field->flags & FIELD_KEEP) ? "keep " : "", field->spelling);
    bool closed = field->type == TYPE_WORDS;
    if (closed) {
        write_words(out, field);
    } else {
        buffer_text(out, field->dimension != DIM_NONE && field->type == TYPE_QUANTITY
                             ? dimension_name[field->dimension]
                             : info->title);
        if (*field->words && field->type != TYPE_NAME && field->type != TYPE_EVENT) {
            buffer_text(out, "; ");
            write_words(out, field);
        }
        if (field->type == TYPE_NAME) buffer_print(out, " of a %s", field->words);
    }
    buffer_print(out, " | %s%s%s | %s |\n", role_name[field->role],
                 (field->flags & FIELD_REPEATS) ? ", repeats" : "",
                 (field->flags & FIELD_UNASSUMED) ? ", never assumed" : "", field->help);
}

static void write_fields(Buffer *out)
{
    buffer_text(out, "\n## Fields\n\nA field's role says what it does: an *instruction*, a *duty* or a "
                     "*gate* judges batches; the others do not.\n");
    for (int kind = 1; kind < BLOCK_KINDS; kind++) {
        bool any = false;
        for (size_t i = 0; i < field_count; i++)
            any = any || field_stands_in(&field_table[i], (BlockKind)kind);
        if (!any) continue;
        buffer_print(out, "\n### %s\n\n| field | takes | role | what it says |\n| --- | --- | --- | --- |\n",
                     block_types[kind].spelling);
        for (size_t i = 0; i < field_count; i++)
            if (field_stands_in(&field_table[i], (BlockKind)kind)) write_field(out, &field_table[i]);
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
    buffer_text(out, "\n## Records\n\n| line begins with | what happened |\n| --- | --- |\n");
    for (int i = 0; i < VERBS; i++)
        buffer_print(out, "| `%s` | %s |\n", verb_table[i].spelling, verb_table[i].help);
}

static void write_findings(Buffer *out)
{
    static const struct {
        const char *name, *severity, *title;
    } findings[] = {
#define FINDING(name, severity, title) {name, #severity, title},
#include "findings.def"
#undef FINDING
    };
    buffer_text(
        out,
        "\n## Findings of the program itself\n\n| name | severity | what it means |\n| --- | --- | --- |\n");
    for (size_t i = 0; i < sizeof findings / sizeof *findings; i++) {
        buffer_print(out, "| `%s` | ", findings[i].name);
        for (const char *c = findings[i].severity; *c; c++) buffer_char(out, (char)(*c | 0x20));
        buffer_print(out, " | %s |\n", findings[i].title);
    }
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
