/* The files that are built into the program: the trade rules of protocols/rules.
 *
 * The table is generated from those files when the program is built, so that a rule is added by adding a
 * file. What the bytes mean is for the reader of any other file to say; here they are only carried.
 */
#ifndef MODEL_BUILTIN_H
#define MODEL_BUILTIN_H

struct BuiltinFile {
    const char *name;  /* "rules/water.heel" */
    const char *bytes; /* a NUL stands behind them */
    unsigned length;   /* in bytes, without that NUL */
};

extern const struct BuiltinFile builtin_files[]; /* sorted by name */
extern const unsigned builtin_file_count;        /* may be 0 */

#endif
