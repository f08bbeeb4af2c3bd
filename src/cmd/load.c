/* Finding the files of a nursery: its nursery.heel and what that uses, or single files.
 *
 * What a file names is opened from the nursery's folder and never leaves it (cmd/files.h). A file is read
 * once, however often it is named.
 */
#include "cmd/load.h"

#include "base/vec.h"
#include "cmd/files.h"
#include "model/builtin.h"
#include "syntax/read.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

typedef struct FileId {
    dev_t device;
    ino_t number;
} FileId;

typedef struct Loader {
    Load *load;
    VEC(FileId) read;
    VEC(TableFile) tables;
    size_t used; /* of the nursery's `use` clauses */
} Loader;

static const Span nowhere = {0};

static void trouble(Loader *loader, Span place, const char *path, const char *why)
{
    Note *note =
        notes_add(loader->load->notes, SEVERITY_ERROR, "use", place, "%s cannot be read: %s", path, why);
    note->fatal = true;
}

static bool ends_with(const char *path, const char *ending)
{
    size_t length = strlen(path), tail = strlen(ending);
    return length >= tail && !strcmp(path + length - tail, ending);
}

/* ------------------------------------------------------------------ single files */

static bool was_read(Loader *loader, int descriptor)
{
    struct stat status;
    if (fstat(descriptor, &status) < 0) return false;
    for (size_t i = 0; i < loader->read.count; i++)
        if (loader->read.at[i].device == status.st_dev && loader->read.at[i].number == status.st_ino)
            return true;
    VEC_PUSH(loader->load->arena, &loader->read, ((FileId){status.st_dev, status.st_ino}));
    return false;
}

void load_text(Load *load, const char *name, const char *bytes, size_t length)
{
    Text *text = text_new(load->arena, name, bytes, (uint32_t)length, 1);
    load->contents += slice_hash((Slice){bytes, length});
    nursery_add(load->nursery, syntax_read(load->arena, text, load->notes), false);
}

static void add_table(Loader *loader, const char *name, int descriptor, const char *ahead, size_t length)
{
    loader->load->nursery->file_count++;
    VEC_PUSH(loader->load->arena, &loader->tables, ((TableFile){name, descriptor, ahead, length}));
}

/* Takes over the descriptor. */
static void add_file(Loader *loader, const char *name, int descriptor, Span place)
{
    if (was_read(loader, descriptor)) {
        close(descriptor);
        return;
    }
    if (loader->read.count > LOAD_FILES) {
        if (loader->read.count == LOAD_FILES + 1)
            trouble(loader, place, name, "a nursery has at most 10,000 files");
        close(descriptor);
        return;
    }
    if (ends_with(name, ".csv")) {
        add_table(loader, name, descriptor, NULL, 0);
        return;
    }
    const char *why;
    size_t length;
    char *bytes = file_read(loader->load->arena, descriptor, TEXT_LIMIT, &length, &why);
    close(descriptor);
    if (!bytes)
        trouble(loader, place, name, why);
    else
        load_text(loader->load, name, bytes, length);
}

/* ------------------------------------------------------------------ folders */

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static const char **entries_of(Arena *arena, int folder, size_t *count)
{
    VEC(const char *) names = {0};
    DIR *listing = fdopendir(dup(folder));
    for (struct dirent *entry; listing && (entry = readdir(listing));)
        if (entry->d_name[0] != '.')
            VEC_PUSH(arena, &names, arena_copy(arena, entry->d_name, strlen(entry->d_name)));
    if (listing) closedir(listing);
    if (names.count) qsort(names.at, names.count, sizeof *names.at, by_text);
    *count = names.count;
    return names.at;
}

/* Every file of the language in a folder and the folders in it. Links are passed over. Takes over the
 * descriptor. */
static void add_folder(Loader *loader, const char *name, int folder, int depth, Span place)
{
    size_t count;
    const char **entries = entries_of(loader->load->arena, folder, &count);
    for (size_t i = 0; i < count; i++) {
        struct stat status;
        if (fstatat(folder, entries[i], &status, AT_SYMLINK_NOFOLLOW) < 0) continue;
        const char *path =
            !strcmp(name, ".") ? entries[i] : arena_print(loader->load->arena, "%s/%s", name, entries[i]);
        const char *why;
        bool is_folder;
        if (S_ISDIR(status.st_mode) && depth < LOAD_DEPTH) {
            int inner = file_open_inside(folder, entries[i], &is_folder, &why);
            if (inner >= 0) add_folder(loader, path, inner, depth + 1, place);
        } else if (S_ISREG(status.st_mode) && ends_with(entries[i], ".heel")) {
            int file = file_open_inside(folder, entries[i], &is_folder, &why);
            if (file < 0)
                trouble(loader, place, path, why);
            else
                add_file(loader, path, file, place);
        }
    }
    close(folder);
}

/* ------------------------------------------------------------------ nurseries */

static const char *path_in(Arena *arena, const char *folder, const char *name)
{
    if (!strcmp(folder, ".")) return name;
    return arena_print(arena, ends_with(folder, "/") ? "%s%s" : "%s/%s", folder, name);
}

/* The `use` clauses that came with the files added since the last time. */
static void follow_uses(Loader *loader, const char *folder_name, int folder)
{
    size_t count;
    const Use *uses = nursery_uses(loader->load->nursery, &count);
    for (; loader->used < count; loader->used++) {
        Use use = uses[loader->used];
        const char *path = arena_copy(loader->load->arena, use.path.at, use.path.length), *why;
        bool is_folder = false;
        int file = strlen(path) == use.path.length && *path ? file_open_inside(folder, path, &is_folder, &why)
                                                            : (why = "it is no name of a file", -1);
        const char *name = path_in(loader->load->arena, folder_name, path);
        if (file < 0)
            trouble(loader, use.place, name, why);
        else if (is_folder)
            add_folder(loader, name, file, 0, use.place);
        else
            add_file(loader, name, file, use.place);
        uses = nursery_uses(loader->load->nursery, &count);
    }
}

/* The nursery.heel of a folder with all that it uses, or with the whole folder where it says nothing of that;
 * false without one. */
static bool add_nursery(Loader *loader, const char *name, int folder)
{
    bool is_folder;
    const char *why;
    int file = file_open_inside(folder, "nursery.heel", &is_folder, &why);
    if (file < 0) return false;
    add_file(loader, path_in(loader->load->arena, name, "nursery.heel"), file, nowhere);
    size_t uses;
    nursery_uses(loader->load->nursery, &uses);
    if (uses > loader->used)
        follow_uses(loader, name, folder);
    else
        add_folder(loader, name, fcntl(folder, F_DUPFD_CLOEXEC, 0), 0, nowhere);
    return true;
}

/* A single file belongs to the nursery it lies in: the nearest folder above with a nursery.heel. */
static void add_nursery_around(Loader *loader, const char *path)
{
    const char *slash = strrchr(path, '/');
    const char *folder =
        slash ? arena_copy(loader->load->arena, path, (size_t)(slash - path) + (slash == path)) : ".";
    for (int up = 0; up < LOAD_DEPTH; up++) {
        int descriptor = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
        if (descriptor < 0) return;
        bool found = add_nursery(loader, folder, descriptor);
        struct stat here, above;
        bool top =
            fstat(descriptor, &here) < 0 || fstatat(descriptor, "..", &above, 0) < 0 ||
            (here.st_dev == above.st_dev && here.st_ino == above.st_ino) ||
            faccessat(descriptor, ".git", F_OK, 0) == 0; /* a nursery does not reach beyond its repository */
        close(descriptor);
        if (found || top) return;
        folder = !strcmp(folder, ".") ? ".." : arena_print(loader->load->arena, "%s/..", folder);
    }
}

static void add_path_folder(Loader *loader, const char *path)
{
    int folder = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (folder < 0) {
        trouble(loader, nowhere, path, strerror(errno));
        return;
    }
    if (add_nursery(loader, path, folder))
        close(folder);
    else
        add_folder(loader, path, folder, 0, nowhere);
}

static bool has_nursery_block(const Load *load)
{
    return load->nursery->self != NULL;
}

static void add_path_file(Loader *loader, const char *path)
{
    const char *why;
    int file = file_open(path, &why);
    if (file < 0) {
        trouble(loader, nowhere, path, why);
        return;
    }
    bool known = has_nursery_block(loader->load) || loader->load->alone;
    if (!ends_with(path, ".csv")) add_file(loader, path, file, nowhere);
    if (!known && has_nursery_block(loader->load)) {
        const char *slash = strrchr(path, '/');
        const char *name =
            slash ? arena_copy(loader->load->arena, path, (size_t)(slash - path) + (slash == path)) : ".";
        int folder = open(name, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
        if (folder < 0) return;
        follow_uses(loader, name, folder);
        close(folder);
    } else if (!known) {
        add_nursery_around(loader, path);
    }
    if (ends_with(path, ".csv")) add_file(loader, path, file, nowhere);
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

static void add_standard_input(Loader *loader)
{
    char *ahead = arena_alloc(loader->load->arena, AHEAD);
    size_t length = 0;
    while (length < AHEAD && !memchr(ahead, '\n', length)) {
        ssize_t count = read(STDIN_FILENO, ahead + length, AHEAD - length);
        if (count < 0 && errno == EINTR) continue;
        if (count < 0) {
            trouble(loader, nowhere, "standard input", strerror(errno));
            return;
        }
        if (count == 0) break;
        length += (size_t)count;
    }
    if (looks_like_table((Slice){ahead, length})) {
        if (!has_nursery_block(loader->load)) add_nursery_around(loader, "-");
        add_table(loader, "-", STDIN_FILENO, ahead, length);
        return;
    }
    const char *why;
    size_t rest;
    char *bytes = file_read(loader->load->arena, STDIN_FILENO, TEXT_LIMIT - length, &rest, &why);
    if (!bytes) {
        trouble(loader, nowhere, "standard input", why);
        return;
    }
    char *whole = arena_alloc(loader->load->arena, length + rest + 1);
    memcpy(whole, ahead, length);
    memcpy(whole + length, bytes, rest);
    bool known = has_nursery_block(loader->load);
    load_text(loader->load, "-", whole, length + rest);
    if (!known && !has_nursery_block(loader->load)) add_nursery_around(loader, "-");
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

void load_built_in(Load *load)
{
    for (unsigned i = 0; i < builtin_file_count; i++) {
        Text *text =
            text_new(load->arena, builtin_files[i].name, builtin_files[i].bytes, builtin_files[i].length, 1);
        text->built_in = true;
        nursery_add(load->nursery, syntax_read(load->arena, text, load->notes), true);
    }
}

void load_finish(Load *load, TableFile *tables, size_t count)
{
    load->tables = tables;
    load->table_count = count;
    load->nothing = load->nursery->file_count == 0;
    nursery_finish(load->nursery);
}

static bool is_folder(const char *path)
{
    struct stat status;
    return stat(path, &status) == 0 && S_ISDIR(status.st_mode);
}

void load_paths(Load *load, const char *const *paths, size_t count)
{
    static const char *const here[] = {"."};
    Loader loader = {.load = load};
    load_built_in(load);
    if (!count) {
        paths = here;
        count = 1;
    }
    for (size_t i = 0; i < count; i++) {
        if (!strcmp(paths[i], "-"))
            add_standard_input(&loader);
        else if (is_folder(paths[i]))
            add_path_folder(&loader, paths[i]);
        else
            add_path_file(&loader, paths[i]);
    }
    load_finish(load, loader.tables.at, loader.tables.count);
}

const Tree *load_tree(Load *load, const char *path)
{
    Loader loader = {.load = load};
    const char *why;
    size_t length;
    int file = file_open(path, &why);
    char *bytes = file < 0 ? NULL : file_read(load->arena, file, TEXT_LIMIT, &length, &why);
    if (file >= 0) close(file);
    if (!bytes) {
        trouble(&loader, nowhere, path, why);
        return NULL;
    }
    return syntax_read(load->arena, text_new(load->arena, path, bytes, (uint32_t)length, 1), load->notes);
}
