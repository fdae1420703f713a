"""A second message centre for tests, on the PyPI package `smpp34` (a Rust engine, unrelated to `smpp` and `smpplib`).

Start: python smsc_rust.py [--port 27750]. It accepts every bind and every submit on 127.0.0.1, answers a decimal id,
sends one receipt with text and TLVs, and prints JSON lines. It has no faults: use it to see that the adapter agrees
with more than one peer. It ends when stdin closes.
"""

import argparse
import asyncio
import json
import sys

import smpp34

RECEIPTED_MESSAGE_ID, MESSAGE_STATE = 0x001E, 0x0427


def say(event: str, **more: object) -> None:
    print(json.dumps({"event": event, **more}), flush=True)


async def send_receipt(esme: smpp34.Esme, submit: smpp34.SubmitSmEvent, message_id: str) -> None:
    text = f"id:{message_id} sub:001 dlvrd:001 submit date:2701010000 done date:2701010001 stat:DELIVRD err:000 text:"
    answer = await esme.deliver_sm(
        submit.source_addr,
        text.encode("ascii"),
        source_addr=submit.destination_addr,
        source_addr_ton=1,
        source_addr_npi=1,
        esm_class=0x04,
        tlvs=[
            smpp34.Tlv(RECEIPTED_MESSAGE_ID, message_id.encode() + b"\0"),
            smpp34.Tlv(MESSAGE_STATE, b"\x02"),
        ],
    )
    say("deliver_sm_resp", status=answer.command_status, about=message_id)


async def serve(port: int) -> None:
    server = smpp34.Server("127.0.0.1", port, system_id="peer")
    await server.start()
    say("listening", port=port)
    bound: dict[str, smpp34.Esme] = {}
    tasks: set[asyncio.Task[None]] = set()
    counter = 5_000_000
    while True:
        event = await server.next()
        if isinstance(event, smpp34.Esme):
            bound[event.session_id] = event
            say("bind", systemId=event.system_id, receives=event.can_receive)
        elif isinstance(event, smpp34.Unbound):
            bound.pop(event.session_id, None)
            say("closed")
        else:
            counter += 1
            event.accept(str(counter))
            say(
                "submit",
                id=str(counter),
                to=event.destination_addr,
                coding=event.data_coding,
                esm=event.esm_class,
                hex=event.short_message.hex(),
            )
            if event.registered_delivery & 3 and event.session_id in bound:
                task = asyncio.create_task(
                    send_receipt(bound[event.session_id], event, str(counter))
                )
                tasks.add(task)
                task.add_done_callback(tasks.discard)


async def until_stdin_closes() -> None:
    await asyncio.get_running_loop().run_in_executor(None, sys.stdin.read)


async def main(port: int) -> None:
    serving = asyncio.create_task(serve(port))
    await asyncio.wait(
        {serving, asyncio.create_task(until_stdin_closes())}, return_when=asyncio.FIRST_COMPLETED
    )
    serving.cancel()


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("--port", type=int, default=27750)
    asyncio.run(main(parser.parse_args().port))
