/* Reads an event node as a game does and notes when each value of an absolute axis came.
 *
 * reader NODE FILE: says "ready" on standard output, then reads until SIGTERM. FILE gets a record
 * for each value: nanoseconds of CLOCK_MONOTONIC after the read, event type, code, value. SYN_DROPPED
 * (type 0, code 3) is noted like a value: then this reader was too slow, and not what it reads.
 */
#include <fcntl.h>
#include <linux/input.h>
#include <sched.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <time.h>
#include <unistd.h>

struct seen {
	int64_t ns;
	uint16_t type, code;
	int32_t value;
};

enum { MOST = 1 << 20 };
static volatile sig_atomic_t stopped;

static void stop(int number)
{
	(void)number;
	stopped = 1;
}

int main(int argc, char **argv)
{
	struct input_event events[128];
	struct seen *seen = calloc(MOST, sizeof *seen);
	size_t count = 0;

	if (argc != 3)
		return 2;
	int node = open(argv[1], O_RDONLY);
	if (node < 0) {
		perror(argv[1]);
		return 1;
	}
	/* no SA_RESTART: a read that waits is to end */
	struct sigaction action = {.sa_handler = stop};
	sigaction(SIGTERM, &action, NULL);
	struct sched_param above = {.sched_priority = 10};
	sched_setscheduler(0, SCHED_FIFO, &above);
	mlockall(MCL_CURRENT);
	puts("ready");
	fflush(stdout);
	while (!stopped) {
		ssize_t length = read(node, events, sizeof events);
		struct timespec now;

		if (length < 0)
			continue;
		clock_gettime(CLOCK_MONOTONIC, &now);
		for (size_t i = 0; i < length / sizeof *events && count < MOST; i++) {
			struct input_event *event = &events[i];

			if (event->type == EV_ABS || (event->type == EV_SYN && event->code == SYN_DROPPED))
				seen[count++] = (struct seen){
					now.tv_sec * 1000000000LL + now.tv_nsec,
					event->type, event->code, event->value};
		}
	}
	FILE *out = fopen(argv[2], "wb");
	if (!out || fwrite(seen, sizeof *seen, count, out) != count || fclose(out)) {
		perror("reader: out");
		return 1;
	}
	return 0;
}
