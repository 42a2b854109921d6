/* The limit to compare with: the least that can pass events on. One epoll, one read, one write.
 *
 * passthrough FROM_FD TO_FD [FROM_FD TO_FD ...]: whatever is read from the event node FROM_FD is
 * written to the uinput device TO_FD as it is. The descriptors are inherited. Ends by a signal.
 */
#include <linux/input.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/epoll.h>
#include <unistd.h>

int main(int argc, char **argv)
{
	static int to[1024];
	struct input_event events[128];
	struct epoll_event ready[16];
	int poll = epoll_create1(0);

	for (int i = 1; i + 1 < argc; i += 2) {
		int from = atoi(argv[i]);
		struct epoll_event wanted = {.events = EPOLLIN, .data.fd = from};

		to[from] = atoi(argv[i + 1]);
		if (epoll_ctl(poll, EPOLL_CTL_ADD, from, &wanted) < 0) {
			perror("passthrough: epoll_ctl");
			return 1;
		}
	}
	for (;;) {
		int count = epoll_wait(poll, ready, 16, -1);

		for (int i = 0; i < count; i++) {
			int from = ready[i].data.fd;
			ssize_t length = read(from, events, sizeof events);

			if (length > 0 && write(to[from], events, length) != length) {
				perror("passthrough: write");
				return 1;
			}
		}
	}
}
