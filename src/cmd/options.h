/* The command line: one table makes parsing, help and the manual page. */
#ifndef CMD_OPTIONS_H
#define CMD_OPTIONS_H

#include "base/buffer.h"

typedef enum Command {
    COMMAND_NONE,
#define COMMAND(id, name, arguments, summary, examples) COMMAND_##id,
#define OPTION(id, name, value, commands, help)
#include "options.def"
#undef COMMAND
#undef OPTION
    COMMANDS
} Command;

typedef enum Option {
#define COMMAND(id, name, arguments, summary, examples)
#define OPTION(id, name, value, commands, help) OPTION_##id,
#include "options.def"
#undef COMMAND
#undef OPTION
    OPTIONS
} Option;

enum { STATUS_CLEAN = 0, STATUS_FINDINGS = 1, STATUS_TROUBLE = 2 };

typedef struct Options {
    Command command;
    const char *value[OPTIONS]; /* NULL: not given; "" for one without a value */
    const char **paths;
    size_t path_count;
} Options;

/* Reads the arguments behind the program's name. False: what is wrong was written to `errors`. */
bool options_read(Arena *arena, int count, char **arguments, Options *options, Buffer *errors);

/* The command of a name; COMMAND_NONE, and the nearest told. */
Command options_command(const char *word, Buffer *errors);

/* A date as `18 Jun 2027` or 2027-06-18. The words of a date may come as several arguments. */
bool options_date(const char *text, Day *day);

void options_help(Buffer *out, Command command); /* COMMAND_NONE: the whole program */
void options_manual(Buffer *out);                /* as a manual page in man macros */

#define HEELCUT_VERSION "0.1.0"

#endif
