/* Reading the command line, and telling what may stand on it. */
#include "cmd/options.h"

#include "base/near.h"
#include "base/vec.h"

#include <string.h>

typedef struct CommandRow {
    const char *name, *arguments, *summary, *examples;
} CommandRow;

typedef struct OptionRow {
    const char *name, *value;
    unsigned commands;
    const char *help;
} OptionRow;

static const CommandRow commands[COMMANDS] = {
#define COMMAND(id, name, arguments, summary, examples) [COMMAND_##id] = {name, arguments, summary, examples},
#define OPTION(id, name, value, commands, help)
#include "options.def"
#undef COMMAND
#undef OPTION
};

#define IN(command) (1U << COMMAND_##command)
#define EVERY (~0U)
#define FIGURES (IN(LOAD) | IN(WORK) | IN(AMOUNTS) | IN(YIELD) | IN(COST))
static const OptionRow options_table[OPTIONS] = {
#define COMMAND(id, name, arguments, summary, examples)
#define OPTION(id, name, value, commands, help) [OPTION_##id] = {name, value, commands, help},
#include "options.def"
#undef COMMAND
#undef OPTION
};

/* ------------------------------------------------------------------ reading */

/* The option of a command; two commands may mean different things by one name. */
static int option_called(const char *name, size_t length, Command command)
{
    for (int i = 0; i < OPTIONS; i++)
        if ((options_table[i].commands & (1U << command)) && strlen(options_table[i].name) == length &&
            !strncmp(options_table[i].name, name, length))
            return i;
    return -1;
}

Command options_command(const char *word, Buffer *errors)
{
    Nearest nearest;
    for (int i = 1; i < COMMANDS; i++)
        if (!strcmp(commands[i].name, word)) return (Command)i;
    nearest_start(&nearest, slice_of(word));
    for (int i = 1; i < COMMANDS; i++) nearest_try(&nearest, slice_of(commands[i].name));
    buffer_text(errors, "heelcut: there is no command '");
    buffer_escaped(errors, slice_of(word));
    buffer_text(errors, "'");
    if (nearest_found(&nearest)) buffer_print(errors, "; did you mean %.*s?", SLICE_ARG(nearest.best));
    buffer_text(errors, "\nheelcut help lists them\n");
    return COMMAND_NONE;
}

/* The option of a command that is meant: the nearest, or the only one that begins so. "" when there is none.
 */
static Slice option_meant(const char *name, Command command)
{
    Nearest nearest;
    Slice begun = {"", 0};
    int count = 0;
    nearest_start(&nearest, slice_of(name));
    for (int i = 0; i < OPTIONS; i++) {
        Slice option = slice_of(options_table[i].name);
        if (!(options_table[i].commands & (1U << command))) continue;
        nearest_try(&nearest, option);
        if (!*name || !slice_starts(option, name)) continue;
        begun = option;
        count++;
    }
    return nearest_found(&nearest) || count != 1 ? nearest.best : begun;
}

static bool refuse_option(const char *dashes, const char *name, Command command, Buffer *errors)
{
    Slice meant = option_meant(name, command);
    buffer_print(errors, "heelcut: %s has no option %s", commands[command].name, dashes);
    buffer_escaped(errors, slice_of(name));
    if (meant.length)
        buffer_print(errors, "; did you mean --%.*s?", SLICE_ARG(meant));
    else if (!dashes[1])
        buffer_text(errors, ": options have whole names behind two dashes");
    buffer_print(errors, "\nheelcut help %s lists them\n", commands[command].name);
    return false;
}

typedef struct Arguments {
    Arena *arena;
    char **at;
    int count, next;
} Arguments;

static bool is_month_word(const char *word)
{
    int month;
    return month_find(slice_of(word), &month);
}

/* `--from 14 Jun 2027` without quotes: the three words are one value. */
static const char *take_value(Arguments *arguments)
{
    if (arguments->next >= arguments->count) return NULL;
    const char *first = arguments->at[arguments->next++];
    if (arguments->next + 1 < arguments->count && strlen(first) <= 2 &&
        is_month_word(arguments->at[arguments->next])) {
        first = arena_print(arguments->arena, "%s %s %s", first, arguments->at[arguments->next],
                            arguments->at[arguments->next + 1]);
        arguments->next += 2;
    }
    return first;
}

static bool take_option(Arguments *arguments, const char *word, Options *options, Buffer *errors)
{
    const char *name = word + 2, *equals = strchr(name, '=');
    size_t length = equals ? (size_t)(equals - name) : strlen(name);
    int option = option_called(name, length, options->command);
    if (option < 0)
        return refuse_option("--", arena_copy(arguments->arena, name, length), options->command, errors);
    const char *value = "";
    if (options_table[option].value) {
        value = equals ? equals + 1 : take_value(arguments);
        if (!value || !*value) {
            buffer_print(errors, "heelcut: --%s needs a value: --%s %s\n", options_table[option].name,
                         options_table[option].name, options_table[option].value);
            return false;
        }
    } else if (equals) {
        buffer_print(errors, "heelcut: --%s takes no value\n", options_table[option].name);
        return false;
    }
    if (options->value[option]) {
        buffer_print(errors, "heelcut: --%s is given twice\n", options_table[option].name);
        return false;
    }
    options->value[option] = value;
    return true;
}

/* --help and --version stand alone, before any command. */
static bool read_without_command(const char *word, Options *options)
{
    options->command = COMMAND_HELP;
    if (!strcmp(word, "--version")) options->value[OPTION_VERSION] = "";
    if (!strcmp(word, "--man")) options->value[OPTION_MAN] = "";
    return !strcmp(word, "--help") || options->value[OPTION_VERSION] || options->value[OPTION_MAN];
}

bool options_read(Arena *arena, int count, char **at, Options *options, Buffer *errors)
{
    *options = (Options){0};
    Arguments arguments = {arena, at, count, 1}; /* behind the command */
    VEC(const char *) paths = {0};
    if (count == 0) {
        options->command = COMMAND_HELP;
        return true;
    }
    if (at[0][0] == '-' && at[0][1]) {
        if (read_without_command(at[0], options)) return true;
        buffer_text(errors, "heelcut: a command comes first, as in heelcut check --format json\n");
        return false;
    }
    options->command = options_command(at[0], errors);
    if (options->command == COMMAND_NONE) return false;
    bool only_paths = false;
    while (arguments.next < count) {
        const char *word = at[arguments.next++];
        if (only_paths || word[0] != '-' || !word[1]) {
            VEC_PUSH(arena, &paths, word);
        } else if (!strcmp(word, "--")) {
            only_paths = true;
        } else if (word[1] != '-') {
            return refuse_option("-", word + 1, options->command, errors);
        } else if (!take_option(&arguments, word, options, errors)) {
            return false;
        }
    }
    options->paths = paths.at;
    options->path_count = paths.count;
    return true;
}

static bool read_digits(const char **at, int *value, int most)
{
    int digits = 0;
    *value = 0;
    while (**at >= '0' && **at <= '9' && digits < most) {
        *value = *value * 10 + (**at - '0');
        (*at)++;
        digits++;
    }
    return digits > 0;
}

bool options_date(const char *text, Day *day)
{
    int first, month, of_month, year;
    if (!read_digits(&text, &first, 4)) return false;
    if (*text == '-') {
        year = first;
        text++;
        if (!read_digits(&text, &month, 2) || *text++ != '-' || !read_digits(&text, &of_month, 2))
            return false;
    } else {
        of_month = first;
        while (*text == ' ') text++;
        const char *word = text;
        while (*text && *text != ' ') text++;
        if (!month_find((Slice){word, (size_t)(text - word)}, &month)) return false;
        while (*text == ' ') text++;
        if (!read_digits(&text, &year, 4)) return false;
    }
    return !*text && day_make(year, month, of_month, day);
}

/* ------------------------------------------------------------------ help */

static void indented(Buffer *out, const char *lines, const char *before)
{
    for (const char *line = lines; *line;) {
        const char *end = strchr(line, '\n');
        size_t length = end ? (size_t)(end - line) : strlen(line);
        buffer_text(out, before);
        buffer_bytes(out, line, length);
        buffer_char(out, '\n');
        line += length + (end != NULL);
    }
}

static const char status_text[] = "Status: 0 clean, 1 findings, 2 the job could not be done.\n";

static void help_program(Buffer *out)
{
    buffer_text(out, "heelcut checks planned batches of cuttings against a nursery's own protocols,\n"
                     "and turns them into dated work.\n\nExamples:\n");
    for (int i = 1; i < COMMANDS; i++) {
        const char *end = strchr(commands[i].examples, '\n');
        buffer_text(out, "  ");
        buffer_bytes(out, commands[i].examples, (size_t)(end - commands[i].examples));
        buffer_char(out, '\n');
    }
    buffer_text(out, "\nCommands:\n");
    for (int i = 1; i < COMMANDS; i++)
        buffer_print(out, "  %-8s %s\n", commands[i].name, commands[i].summary);
    buffer_text(out, "\nheelcut help COMMAND tells more. ");
    buffer_text(out, status_text);
}

void options_help(Buffer *out, Command command)
{
    if (command == COMMAND_NONE) {
        help_program(out);
        return;
    }
    buffer_print(out, "%s.\n\nExamples:\n", commands[command].summary);
    indented(out, commands[command].examples, "  ");
    buffer_print(out, "\nUsage: heelcut %s [OPTION ...] %s\n\nOptions:\n", commands[command].name,
                 commands[command].arguments);
    for (int i = 0; i < OPTIONS; i++) {
        if (!(options_table[i].commands & (1U << command)) || i == OPTION_MAN) continue;
        const char *value = options_table[i].value ? options_table[i].value : "";
        int width = 22 - (int)strlen(options_table[i].name) - (int)strlen(value);
        buffer_print(out, "  --%s %s%*s%s\n", options_table[i].name, value, width > 1 ? width : 1, "",
                     options_table[i].help);
    }
    buffer_char(out, '\n');
    buffer_text(out, status_text);
}

/* Text for man macros: a leading dot or quote and every backslash and dash are made plain. */
static void manual_text(Buffer *out, const char *text)
{
    if (*text == '.' || *text == '\'') buffer_text(out, "\\&");
    for (; *text; text++) {
        if (*text == '\\')
            buffer_text(out, "\\e");
        else if (*text == '-')
            buffer_text(out, "\\-");
        else
            buffer_char(out, *text);
    }
}

static void manual_examples(Buffer *out, const char *examples)
{
    buffer_text(out, ".PP\n.nf\n");
    for (const char *line = examples; *line;) {
        const char *end = strchr(line, '\n');
        char one[128];
        size_t length = end ? (size_t)(end - line) : strlen(line);
        if (length >= sizeof one) length = sizeof one - 1;
        memcpy(one, line, length);
        one[length] = '\0';
        manual_text(out, one);
        buffer_char(out, '\n');
        line = end ? end + 1 : line + length;
    }
    buffer_text(out, ".fi\n");
}

void options_manual(Buffer *out)
{
    buffer_text(out, ".TH HEELCUT 1 \"\" \"heelcut " HEELCUT_VERSION
                     "\" \"User Commands\"\n.SH NAME\nheelcut \\- a nursery's propagation protocols, "
                     "checked and turned into work\n.SH SYNOPSIS\n.B heelcut\nCOMMAND [OPTION ...] "
                     "[FOLDER|FILE ...]\n.SH DESCRIPTION\n"
                     "A nursery writes its protocols for rooting cuttings as text. heelcut checks planned "
                     "batches against them and\n"
                     "turns them into dated tasks.\n");
    for (int i = 1; i < COMMANDS; i++) {
        buffer_print(out, ".SH \"%s\"\n", commands[i].name);
        manual_text(out, commands[i].summary);
        buffer_text(out, ".\n");
        manual_examples(out, commands[i].examples);
        for (int k = 0; k < OPTIONS; k++) {
            if (!(options_table[k].commands & (1U << i))) continue;
            buffer_text(out, ".TP\n.B \\-\\-");
            manual_text(out, options_table[k].name);
            buffer_print(out, "%s%s\n", options_table[k].value ? " " : "",
                         options_table[k].value ? options_table[k].value : "");
            manual_text(out, options_table[k].help);
            buffer_char(out, '\n');
        }
    }
    buffer_text(
        out, ".SH \"EXIT STATUS\"\n0 clean; 1 findings; 2 the job could not be done.\n.SH "
             "ENVIRONMENT\n.TP\n.B NO_COLOR\n"
             "When set and not empty, no colours are written unless \\-\\-color always says so.\n"
             ".TP\n.B SOURCE_DATE_EPOCH\nThe time that a calendar is stamped with, in seconds since 1970.\n");
}
