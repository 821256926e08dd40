/* What a process does to the files of one folder, written down in order.
 *
 * Preloaded into a process (LD_PRELOAD). DISK_LOG names the log, DISK_LOG_FOLDER the folder. Each
 * record: one letter, then four numbers of 8 bytes (offset, length of the path, length of the
 * data, zero), the path, the data. C created, W write, T truncate, S sync, U unlink, R rename
 * (the data is the new path).
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <unistd.h>

static int is_ours(const char *path) {
    const char *folder = getenv("DISK_LOG_FOLDER");
    return folder && path && strncmp(path, folder, strlen(folder)) == 0;
}

static int path_of(int file, char *path) {
    char link[64];
    snprintf(link, sizeof link, "/proc/self/fd/%d", file);
    ssize_t length = readlink(link, path, PATH_MAX - 1);
    path[length > 0 ? length : 0] = 0;
    return is_ours(path);
}

static void note(char what, const char *path, uint64_t offset, const void *data, uint64_t length) {
    static int log_file = -1;
    if (log_file < 0)
        log_file = syscall(SYS_openat, AT_FDCWD, getenv("DISK_LOG"),
                           O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    uint64_t numbers[4] = {offset, strlen(path), length, 0};
    syscall(SYS_write, log_file, &what, 1);
    syscall(SYS_write, log_file, numbers, sizeof numbers);
    syscall(SYS_write, log_file, path, numbers[1]);
    if (length)
        syscall(SYS_write, log_file, data, length);
}

#define REAL(name) ((__typeof__(name) *)dlsym(RTLD_NEXT, #name))

static int opened(int file, int existed, const char *path, int flags) {
    if (file >= 0 && is_ours(path)) {
        if ((flags & O_CREAT) && !existed)
            note('C', path, 0, NULL, 0);
        if ((flags & O_TRUNC) && existed)
            note('T', path, 0, NULL, 0);
    }
    return file;
}

#define OPEN(name)                                                                                 \
    int name(const char *path, int flags, ...) {                                                   \
        va_list more;                                                                              \
        va_start(more, flags);                                                                     \
        mode_t mode = (flags & O_CREAT) ? va_arg(more, mode_t) : 0;                                \
        va_end(more);                                                                              \
        int existed = access(path, F_OK) == 0;                                                     \
        return opened(REAL(name)(path, flags, mode), existed, path, flags);                        \
    }
OPEN(open)
OPEN(open64)

ssize_t write(int file, const void *data, size_t length) {
    char path[PATH_MAX];
    off_t offset = path_of(file, path) ? lseek(file, 0, SEEK_CUR) : -1;
    ssize_t written = REAL(write)(file, data, length);
    if (offset >= 0 && written > 0)
        note('W', path, offset, data, written);
    return written;
}

#define PWRITE(name, offset_type)                                                                  \
    ssize_t name(int file, const void *data, size_t length, offset_type offset) {                  \
        char path[PATH_MAX];                                                                       \
        ssize_t written = REAL(name)(file, data, length, offset);                                  \
        if (written > 0 && path_of(file, path))                                                    \
            note('W', path, offset, data, written);                                                \
        return written;                                                                            \
    }
PWRITE(pwrite, off_t)
PWRITE(pwrite64, off64_t)

#define FTRUNCATE(name, offset_type)                                                               \
    int name(int file, offset_type length) {                                                       \
        char path[PATH_MAX];                                                                       \
        int done = REAL(name)(file, length);                                                       \
        if (done == 0 && path_of(file, path))                                                      \
            note('T', path, length, NULL, 0);                                                      \
        return done;                                                                               \
    }
FTRUNCATE(ftruncate, off_t)
FTRUNCATE(ftruncate64, off64_t)

#define SYNC(name)                                                                                 \
    int name(int file) {                                                                           \
        char path[PATH_MAX];                                                                       \
        int done = REAL(name)(file);                                                               \
        if (done == 0 && path_of(file, path))                                                      \
            note('S', path, 0, NULL, 0);                                                           \
        return done;                                                                               \
    }
SYNC(fsync)
SYNC(fdatasync)

int unlink(const char *path) {
    int done = REAL(unlink)(path);
    if (done == 0 && is_ours(path))
        note('U', path, 0, NULL, 0);
    return done;
}

int rename(const char *from, const char *to) {
    int done = REAL(rename)(from, to);
    if (done == 0 && is_ours(from))
        note('R', from, 0, to, strlen(to));
    return done;
}
