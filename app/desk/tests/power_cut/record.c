/* Writes down what a program asks of the disk, in its order. Loaded before the C library:
 *
 *   LD_PRELOAD=record.so COMBGATE_RECORD=FILE program ...
 *
 * A record is a line of kind, place, length and path, parted by blanks, and then so many bytes:
 *   W  bytes written at a place of a file     T  a file cut to a length, which stands as its place
 *   B  the disk is asked to keep a file, by the thread that stands as its place
 *   S  the disk has kept what was written before that thread asked
 *   U  a file was removed                     M  bytes went to standard output
 */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

static void tell(char kind, const char *path, uint64_t place, const void *bytes, size_t length) {
    static int out = -2;
    int before = errno;
    if (out == -2) {
        const char *name = getenv("COMBGATE_RECORD");
        out = name ? (int)syscall(SYS_openat, AT_FDCWD, name, O_WRONLY | O_APPEND | O_CLOEXEC) : -1;
    }
    if (out >= 0) {
        char line[4400];
        int long_ = snprintf(line, sizeof line, "%c %llu %llu %s\n", kind,
                             (unsigned long long)place, (unsigned long long)length, path);
        struct iovec parts[2] = {{line, (size_t)long_}, {(void *)bytes, length}};
        /* In one piece, so that records of two threads do not mix. A record that is not whole would
         * make the test say less than it claims. */
        if (syscall(SYS_writev, out, parts, 2) != (long)(long_ + (long)length)) abort();
    }
    errno = before;
}

static void tell_of(char kind, int file, uint64_t place, const void *bytes, size_t length) {
    char link[40], path[4096];
    snprintf(link, sizeof link, "/proc/self/fd/%d", file);
    ssize_t long_ = readlink(link, path, sizeof path - 1);
    path[long_ < 0 ? 0 : long_] = 0;
    tell(kind, path, place, bytes, length);
}

/* Told before it is done: between the two the disk may have it or not. */
ssize_t pwrite64(int file, const void *bytes, size_t length, off_t place) {
    tell_of('W', file, (uint64_t)place, bytes, length);
    return syscall(SYS_pwrite64, file, bytes, length, place);
}

ssize_t pwrite(int file, const void *bytes, size_t length, off_t place) {
    return pwrite64(file, bytes, length, place);
}

ssize_t write(int file, const void *bytes, size_t length) {
    if (file == STDOUT_FILENO) tell_of('M', file, 0, bytes, length);
    return syscall(SYS_write, file, bytes, length);
}

int ftruncate64(int file, off_t length) {
    tell_of('T', file, (uint64_t)length, NULL, 0);
    return (int)syscall(SYS_ftruncate, file, length);
}

int ftruncate(int file, off_t length) { return ftruncate64(file, length); }

static int keep(long way, int file) {
    uint64_t thread = (uint64_t)syscall(SYS_gettid);
    tell_of('B', file, thread, NULL, 0);
    int kept = (int)syscall(way, file);
    /* Told after it is done: until then nothing is certain. */
    if (kept == 0) tell_of('S', file, thread, NULL, 0);
    return kept;
}

int fsync(int file) { return keep(SYS_fsync, file); }
int fdatasync(int file) { return keep(SYS_fdatasync, file); }

int unlink(const char *path) {
    tell('U', path, 0, NULL, 0);
    return (int)syscall(SYS_unlinkat, AT_FDCWD, path, 0);
}
