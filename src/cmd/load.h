/* From what the command line names to a nursery and plans. */
#ifndef CMD_LOAD_H
#define CMD_LOAD_H

#include "model/nursery.h"
#include "model/plan.h"

enum { LOAD_FILES = 10000, LOAD_DEPTH = 16 };

/* A plan as a table, to be read when the nursery is known. */
typedef struct TableFile {
    const char *name;
    int descriptor;    /* -1: all its bytes were read already */
    const char *ahead; /* bytes that were read already, to find out what it is */
    size_t ahead_length;
} TableFile;

typedef struct Load {
    Arena *arena;
    Notes *notes;
    Nursery *nursery;
    TableFile *tables;
    size_t table_count;
    bool alone;        /* a single file is read by itself, without the nursery it lies in */
    bool nothing;      /* no file was found */
    uint64_t contents; /* the same for the same files, whatever they are called */
} Load;

/* Reads the rules that ship, then every file that the paths lead to: a folder with its nursery.heel, a file
 * of the language, a plan as CSV, "-" for standard input. Without a path it is the folder we are in. Faults
 * are notes. */
void load_paths(Load *load, const char *const *paths, size_t count);
/* The parts of it, for a nursery that comes from elsewhere: the rules that ship, one file of the language,
 * and the end. */
void load_built_in(Load *load);
void load_text(Load *load, const char *name, const char *bytes, size_t length);
void load_finish(Load *load, TableFile *tables, size_t count);
/* Bytes of a table, as plan_table_open asks for them; `from` is a TableFile. */
PlanRead load_read_table;
/* One tree, for --dump=tree. NULL: noted. */
const Tree *load_tree(Load *load, const char *path);

#endif
