/* Sends frames that were made beforehand, at a steady rate, and notes when each was sent.
 *
 * sender PERIOD_NS FRAME_BYTES FRAMES_FILE TIMES_FILE FD [FD ...]: the frames, all of one length,
 * go in turn to the uinput devices FD, which are inherited. TIMES_FILE gets an int64 a frame:
 * nanoseconds of CLOCK_MONOTONIC before its write. A frame that is late is sent at once, and the
 * next one a period after it: there are no bursts to catch up.
 */
#include <fcntl.h>
#include <sched.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

static int64_t now_ns(void)
{
	struct timespec now;

	clock_gettime(CLOCK_MONOTONIC, &now);
	return now.tv_sec * 1000000000LL + now.tv_nsec;
}

int main(int argc, char **argv)
{
	if (argc < 6)
		return 2;
	int64_t period = atoll(argv[1]);
	size_t frame_bytes = atoll(argv[2]);
	int devices = argc - 5;
	int fds[64];
	struct stat about;
	int file = open(argv[3], O_RDONLY);

	if (file < 0 || fstat(file, &about) < 0) {
		perror("sender: frames");
		return 1;
	}
	size_t count = about.st_size / frame_bytes;
	char *frames = malloc(about.st_size);
	int64_t *times = malloc(count * sizeof *times);
	for (size_t got = 0; got < (size_t)about.st_size;) {
		ssize_t more = read(file, frames + got, about.st_size - got);

		if (more <= 0) {
			perror("sender: frames");
			return 1;
		}
		got += more;
	}
	for (int i = 0; i < devices; i++)
		fds[i] = atoi(argv[5 + i]);
	/* Like a device, which does not wait for a turn on the processor; where it is not allowed,
	 * it goes without. */
	struct sched_param above = {.sched_priority = 20};
	sched_setscheduler(0, SCHED_FIFO, &above);
	mlockall(MCL_CURRENT);

	int64_t next = now_ns() + 20000000;
	for (size_t i = 0; i < count; i++) {
		struct timespec at = {next / 1000000000LL, next % 1000000000LL};

		clock_nanosleep(CLOCK_MONOTONIC, TIMER_ABSTIME, &at, NULL);
		times[i] = now_ns();
		if (write(fds[i % devices], frames + i * frame_bytes, frame_bytes) < 0) {
			perror("sender: write");
			return 1;
		}
		next = (times[i] - next > period ? times[i] : next) + period;
	}
	FILE *out = fopen(argv[4], "wb");
	if (!out || fwrite(times, sizeof *times, count, out) != count || fclose(out)) {
		perror("sender: times");
		return 1;
	}
	return 0;
}
