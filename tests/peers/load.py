"""A message centre by PyPI smpp34 that measures its client. Arguments: its port, `delivers` or `takes`, how many, the first phone.

Says {"rate": messages a second} and ends.
"""

import asyncio
import json
import os
import sys
import time

import smpp34

WINDOW = 64
PORT, WHAT, COUNT, FIRST = int(sys.argv[1]), sys.argv[2], int(sys.argv[3]), int(sys.argv[4])


def say(**what):
    sys.stdout.write(json.dumps(what) + "\n")
    sys.stdout.flush()


def measured(begun):
    say(rate=COUNT / (time.perf_counter() - begun))
    os._exit(0)


async def delivers(esme):
    """Keeps a window of messages unanswered until all are answered."""
    begun = time.perf_counter()
    numbers = iter(range(FIRST, FIRST + COUNT))

    async def one_after_another():
        for number in numbers:
            answer = await esme.deliver_sm(
                "40123",
                b"C1 4.5 bait C2 5 water",
                source_addr=f"2557{number:08d}",
                source_addr_ton=1,
                source_addr_npi=1,
                dest_addr_ton=0,
                dest_addr_npi=1,
                data_coding=0,
            )
            if getattr(answer, "command_status", 0):
                os._exit(2)

    await asyncio.gather(*(one_after_another() for _ in range(WINDOW)))
    measured(begun)


async def main():
    server = smpp34.Server("127.0.0.1", PORT, system_id="py")
    await server.start()
    # A bench that died must not leave it behind.
    asyncio.get_running_loop().call_later(300, os._exit, 1)
    say(ready=True)
    begun, taken, at_work = None, 0, None
    while True:
        event = await server.next()
        if isinstance(event, smpp34.Esme) and WHAT == "delivers":
            at_work = asyncio.ensure_future(delivers(event))
        elif isinstance(event, smpp34.SubmitSmEvent):
            begun = begun or time.perf_counter()
            taken += 1
            event.accept(f"{taken:08X}")
            if WHAT == "takes" and taken == COUNT:
                measured(begun)


asyncio.run(main())
