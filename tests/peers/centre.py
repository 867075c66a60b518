"""A message centre by PyPI smpp34, told by lines of JSON what to do and saying by lines of JSON what happened. Argument: its port."""

import asyncio
import json
import os
import sys

import smpp34


def say(**what):
    sys.stdout.write(json.dumps(what) + "\n")
    sys.stdout.flush()


class Centre:
    def __init__(self):
        self.esme = None
        self.statuses = []
        self.held = []
        self.hold = False
        self.ids = 0

    async def serve(self, port):
        server = smpp34.Server("127.0.0.1", port, system_id="py")
        await server.start()
        say(event="listening")
        while True:
            event = await server.next()
            if isinstance(event, smpp34.Esme):
                self.esme = event
                say(event="bound", system_id=event.system_id)
            elif isinstance(event, smpp34.SubmitSmEvent):
                self.submitted(event)
            elif isinstance(event, smpp34.Unbound):
                say(event="unbound")

    def submitted(self, event):
        self.ids += 1
        name = f"{self.ids:08X}"
        status = self.statuses.pop(0) if self.statuses else 0
        say(
            event="submit",
            id=name,
            status=status,
            service_type=event.service_type,
            to=event.destination_addr,
            text=event.short_message.decode("latin-1"),
            tlvs={str(t.tag): t.value.hex() for t in event.tlvs},
            **{"from": event.source_addr},
        )
        if self.hold:
            # An event that is dropped would be refused.
            self.held.append(event)
        elif status:
            event.reject(status)
        else:
            event.accept(name)

    async def deliver(self, order):
        tlvs = []
        if "op" in order:
            tlvs.append(smpp34.Tlv(smpp34.TLV_USSD_SERVICE_OP, bytes([order["op"]])))
        if "session" in order:
            tlvs.append(smpp34.Tlv(smpp34.TLV_ITS_SESSION_INFO, bytes.fromhex(order["session"])))
        answer = await self.esme.deliver_sm(
            order["to"],
            order["text"].encode("latin-1"),
            source_addr=order["from"],
            service_type=order.get("service_type", ""),
            source_addr_ton=1,
            source_addr_npi=1,
            dest_addr_ton=0,
            dest_addr_npi=1,
            esm_class=order.get("esm_class", 0),
            data_coding=0,
            tlvs=tlvs,
        )
        say(event="delivered", status=getattr(answer, "command_status", 0))

    async def obey(self):
        loop = asyncio.get_running_loop()
        while line := await loop.run_in_executor(None, sys.stdin.readline):
            order = json.loads(line)
            if order["do"] == "status":
                self.statuses.append(order["code"])
            elif order["do"] == "hold":
                self.hold = True
            elif order["do"] == "deliver":
                asyncio.ensure_future(self.deliver(order))
        os._exit(0)


async def main():
    centre = Centre()
    # A test that died must not leave it behind.
    asyncio.get_running_loop().call_later(120, os._exit, 1)
    await asyncio.gather(centre.serve(int(sys.argv[1])), centre.obey())


asyncio.run(main())
