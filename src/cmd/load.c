/* Finding the files of a nursery: its nursery.heel and what that uses, or single files.
 *
 * What a file names is opened from the nursery's folder and never leaves it (cmd/files.h). A file is read
 * once, however often it is named.
 */
#include "cmd/load.h"

#include "base/vec.h"
#include "cmd/files.h"
#include "cmd/folder.h"
#include "model/builtin.h"
#include "syntax/read.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

typedef struct ReadFile {
    dev_t device;
    ino_t number;
    const Text *text; /* NULL: a table, or it could not be read */
} ReadFile;

struct Loading {
    VEC(ReadFile) read;
    VEC(TableFile) tables;
    size_t used;  /* of the nursery's `use` clauses */
    bool refused; /* a file too many, which was told */
};

static const Span nowhere = {0};

static void trouble(Load *load, Span place, const char *path, const char *why)
{
    Note *note = notes_add(load->notes, SEVERITY_ERROR, "use", place, "%s cannot be read: %s", path, why);
    note->fatal = true;
}

/* ------------------------------------------------------------------ single files */

/* NULL: nothing of that file was asked for yet, or it cannot be told. */
static ReadFile *find_read(const Load *load, int descriptor)
{
    struct stat status;
    if (fstat(descriptor, &status) < 0) return NULL;
    for (size_t i = 0; i < load->loading->read.count; i++) {
        ReadFile *file = &load->loading->read.at[i];
        if (file->device == status.st_dev && file->number == status.st_ino) return file;
    }
    return NULL;
}

static void remember_read(Load *load, int descriptor, const Text *text)
{
    struct stat status;
    if (fstat(descriptor, &status) == 0)
        VEC_PUSH(load->arena, &load->loading->read, ((ReadFile){status.st_dev, status.st_ino, text}));
}

const Text *load_text_of(const Load *load, int descriptor)
{
    const ReadFile *file = find_read(load, descriptor);
    return file ? file->text : NULL;
}

const Text *load_text(Load *load, const char *name, const char *bytes, size_t length)
{
    const Text *text = text_new(load->arena, name, bytes, (uint32_t)length, 1);
    load->contents += slice_hash((Slice){bytes, length});
    nursery_add(load->nursery, syntax_read(load->arena, text, load->notes), false);
    return text;
}

static void add_table(Load *load, const char *name, int descriptor, const char *ahead, size_t length)
{
    load->nursery->file_count++;
    if (load->without_plans) {
        if (descriptor >= 0) close(descriptor);
        return;
    }
    VEC_PUSH(load->arena, &load->loading->tables, ((TableFile){name, descriptor, ahead, length}));
}

static const Text *add_text(Load *load, const char *name, int descriptor, Span place)
{
    const char *why;
    size_t length;
    char *bytes = file_read(load->arena, descriptor, TEXT_LIMIT, &length, &why);
    if (bytes) return load_text(load, name, bytes, length);
    trouble(load, place, name, why);
    return NULL;
}

/* Takes over the descriptor. */
static void add_file(Load *load, const char *name, int descriptor, Span place)
{
    bool again = find_read(load, descriptor) != NULL, table = path_ends_with(name, ".csv");
    if (!again && load->loading->read.count >= LOAD_FILES) {
        if (!load->loading->refused) trouble(load, place, name, "a nursery has at most 10,000 files");
        load->loading->refused = again = true;
    }
    if (again) {
        close(descriptor);
        return;
    }
    remember_read(load, descriptor, table ? NULL : add_text(load, name, descriptor, place));
    if (table)
        add_table(load, name, descriptor, NULL, 0);
    else
        close(descriptor);
}

/* ------------------------------------------------------------------ folders */

typedef struct Addition {
    Load *load;
    Span place; /* that names the folder */
} Addition;

static void add_found(void *to, const char *path, int file, const char *why)
{
    const Addition *addition = to;
    if (file < 0)
        trouble(addition->load, addition->place, path, why);
    else
        add_file(addition->load, path, file, addition->place);
}

/* Takes over the descriptor. */
static void add_folder(Load *load, const char *name, int folder, Span place)
{
    Addition addition = {load, place};
    folder_walk(load->arena, name, folder, add_found, &addition);
}

/* ------------------------------------------------------------------ nurseries */

/* The `use` clauses that came with the files added since the last time. */
static void follow_uses(Load *load, const char *folder_name, int folder)
{
    size_t count;
    const Use *uses = nursery_uses(load->nursery, &count);
    for (; load->loading->used < count; load->loading->used++) {
        Use use = uses[load->loading->used];
        const char *path = arena_copy(load->arena, use.path.at, use.path.length), *why;
        bool is_folder = false;
        int file = strlen(path) == use.path.length && *path ? file_open_inside(folder, path, &is_folder, &why)
                                                            : (why = "it is no name of a file", -1);
        const char *name = path_in(load->arena, folder_name, path);
        if (file < 0)
            trouble(load, use.place, name, why);
        else if (is_folder)
            add_folder(load, name, file, use.place);
        else
            add_file(load, name, file, use.place);
        uses = nursery_uses(load->nursery, &count);
    }
}

/* The nursery.heel of a folder with all that it uses, or with the whole folder where it says nothing of that;
 * false without one. */
static bool add_nursery(Load *load, const char *name, int folder)
{
    bool is_folder;
    const char *why;
    int file = file_open_inside(folder, "nursery.heel", &is_folder, &why);
    if (file < 0) return false;
    add_file(load, path_in(load->arena, name, "nursery.heel"), file, nowhere);
    size_t uses;
    nursery_uses(load->nursery, &uses);
    if (uses > load->loading->used)
        follow_uses(load, name, folder);
    else
        add_folder(load, name, fcntl(folder, F_DUPFD_CLOEXEC, 0), nowhere);
    return true;
}

/* A single file belongs to the nursery it lies in: the nearest folder above with a nursery.heel. */
static void add_nursery_around(Load *load, const char *path)
{
    const char *slash = strrchr(path, '/');
    const char *folder =
        slash ? arena_copy(load->arena, path, (size_t)(slash - path) + (slash == path)) : ".";
    for (int up = 0; up < LOAD_ABOVE; up++) {
        int descriptor = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
        if (descriptor < 0) return;
        bool found = add_nursery(load, folder, descriptor);
        struct stat here, above;
        bool top =
            fstat(descriptor, &here) < 0 || fstatat(descriptor, "..", &above, 0) < 0 ||
            (here.st_dev == above.st_dev && here.st_ino == above.st_ino) ||
            faccessat(descriptor, ".git", F_OK, 0) == 0; /* a nursery does not reach beyond its repository */
        close(descriptor);
        if (found || top) return;
        folder = !strcmp(folder, ".") ? ".." : arena_print(load->arena, "%s/..", folder);
    }
}

static void add_path_folder(Load *load, const char *path)
{
    int folder = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (folder < 0) {
        trouble(load, nowhere, path, strerror(errno));
        return;
    }
    if (add_nursery(load, path, folder))
        close(folder);
    else
        add_folder(load, path, folder, nowhere);
}

static bool has_nursery_block(const Load *load)
{
    return load->nursery->self != NULL;
}

static void add_path_file(Load *load, const char *path)
{
    const char *why;
    int file = file_open(path, &why);
    if (file < 0) {
        trouble(load, nowhere, path, why);
        return;
    }
    bool known = has_nursery_block(load) || load->alone;
    if (!path_ends_with(path, ".csv")) add_file(load, path, file, nowhere);
    if (!known && has_nursery_block(load)) {
        const char *slash = strrchr(path, '/');
        const char *name =
            slash ? arena_copy(load->arena, path, (size_t)(slash - path) + (slash == path)) : ".";
        int folder = open(name, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
        if (folder < 0) return;
        follow_uses(load, name, folder);
        close(folder);
    } else if (!known) {
        add_nursery_around(load, path);
    }
    if (path_ends_with(path, ".csv")) add_file(load, path, file, nowhere);
}

/* ------------------------------------------------------------------ standard input */

/* A table begins with a line of names between commas, and one of them is batch. */
static bool looks_like_table(Slice bytes)
{
    size_t end = 0;
    bool comma = false, brace = false;
    for (; end < bytes.length && bytes.at[end] != '\n'; end++) {
        comma = comma || bytes.at[end] == ',';
        brace = brace || bytes.at[end] == '{' || bytes.at[end] == '#';
    }
    if (!comma || brace) return false;
    for (size_t i = 0; i + 5 <= end; i++)
        if (!memcmp(bytes.at + i, "batch", 5)) return true;
    return false;
}

enum { AHEAD = 1 << 16 };

static void add_standard_input(Load *load)
{
    char *ahead = arena_alloc(load->arena, AHEAD);
    size_t length = 0;
    while (length < AHEAD && !memchr(ahead, '\n', length)) {
        ssize_t count = read(STDIN_FILENO, ahead + length, AHEAD - length);
        if (count < 0 && errno == EINTR) continue;
        if (count < 0) {
            trouble(load, nowhere, "standard input", strerror(errno));
            return;
        }
        if (count == 0) break;
        length += (size_t)count;
    }
    if (looks_like_table((Slice){ahead, length})) {
        if (!has_nursery_block(load)) add_nursery_around(load, "-");
        add_table(load, "-", STDIN_FILENO, ahead, length);
        return;
    }
    const char *why;
    size_t rest;
    char *bytes = file_read(load->arena, STDIN_FILENO, TEXT_LIMIT - length, &rest, &why);
    if (!bytes) {
        trouble(load, nowhere, "standard input", why);
        return;
    }
    char *whole = arena_alloc(load->arena, length + rest + 1);
    memcpy(whole, ahead, length);
    memcpy(whole + length, bytes, rest);
    bool known = has_nursery_block(load);
    load_text(load, "-", whole, length + rest);
    if (!known && !has_nursery_block(load)) add_nursery_around(load, "-");
}

ptrdiff_t load_read_table(void *from, char *to, size_t room)
{
    TableFile *table = from;
    if (table->ahead_length) {
        size_t count = table->ahead_length < room ? table->ahead_length : room;
        memcpy(to, table->ahead, count);
        table->ahead += count;
        table->ahead_length -= count;
        return (ptrdiff_t)count;
    }
    while (table->descriptor >= 0) {
        ssize_t count = read(table->descriptor, to, room);
        if (count < 0 && errno == EINTR) continue;
        return (ptrdiff_t)count;
    }
    return 0; /* it was read as a whole */
}

/* ------------------------------------------------------------------ all */

static void add_built_in(Load *load)
{
    for (unsigned i = 0; i < builtin_file_count; i++) {
        const struct BuiltinFile *file = &builtin_files[i];
        nursery_add_shipped(load->nursery, &file->text, file->blocks);
    }
}

void load_begin(Load *load)
{
    load->loading = ARENA_NEW(load->arena, Loading);
    add_built_in(load);
}

void load_path(Load *load, const char *path)
{
    nursery_leave_out(load->nursery, load->without_plans ? BLOCK_BATCH : BLOCK_NONE);
    if (!strcmp(path, "-"))
        add_standard_input(load);
    else if (path_is_folder(path))
        add_path_folder(load, path);
    else
        add_path_file(load, path);
}

void load_table(Load *load, const char *name, const char *bytes, size_t length)
{
    add_table(load, name, -1, bytes, length);
}

void load_end(Load *load)
{
    load->tables = load->loading->tables.at;
    load->table_count = load->loading->tables.count;
    load->nothing = load->nursery->file_count == 0;
    nursery_finish(load->nursery);
}

void load_paths(Load *load, const char *const *paths, size_t count)
{
    static const char *const here[] = {"."};
    load_begin(load);
    for (size_t i = 0; i < (count ? count : 1); i++) load_path(load, (count ? paths : here)[i]);
    load_end(load);
}

const Tree *load_tree(Load *load, const char *path)
{
    const char *why;
    size_t length;
    int file = file_open(path, &why);
    char *bytes = file < 0 ? NULL : file_read(load->arena, file, TEXT_LIMIT, &length, &why);
    if (file >= 0) close(file);
    if (!bytes) {
        trouble(load, nowhere, path, why);
        return NULL;
    }
    return syntax_read(load->arena, text_new(load->arena, path, bytes, (uint32_t)length, 1), load->notes);
}
