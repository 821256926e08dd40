"""Fifty clients at once answer thousands of prompts: none is lost, and none is recorded twice."""

from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import httpx
import pytest

from tests.dossier.scene import office
from tests.page.served import Served, served
from tests.page.test_entrance import token

CLIENTS, TRIPS = 50, 25


@pytest.mark.parametrize("each", [4, pytest.param(100, marks=pytest.mark.long)])
def test_none_is_lost_and_none_doubled(each: int, tmp_path: Path) -> None:
    yard = office(tmp_path / "home")
    trips = [
        yard.departed(yard.judged(yard.loaded(1, 1, f"T-{number}"))).id
        for number in range(1, TRIPS + 1)
    ]
    yard.clock.forward(minutes=90)
    with served(yard, tmp_path / "heads") as page:
        clients = [page.client(label=f"phone-{number}") for number in range(CLIENTS)]
        for client, trip in zip(clients, trips, strict=False):
            answer = client.post(
                f"/cab/{trip}/stopped", data={"token": token(client), "key": f"{trip}-stopped"}
            )
            assert answer.status_code == 303, answer.text
        with ThreadPoolExecutor(CLIENTS) as pool:
            work = [
                pool.submit(_answer, page, client, trips[number % TRIPS], number, each)
                for number, client in enumerate(clients)
            ]
            assert sum(one.result() for one in work) == CLIENTS * each
    heard = list(yard.desk.store.entries("kind = 'prompt_heard'"))
    keys = Counter(entry.idem for entry in heard)
    wanted = {f"page-{_key(client, n)}" for client in range(CLIENTS) for n in range(each)}
    assert wanted <= keys.keys()
    assert set(keys.values()) == {1}
    assert yard.desk.store.check() == []


def _key(client: int, number: int) -> str:
    return f"phone{client:04}number{number:06}"


def _answer(page: Served, client: httpx.Client, trip: str, number: int, each: int) -> int:
    """Answer so many prompts, each sent twice, as a phone does whose first answer was lost."""
    mine = token(client)
    taken = 0
    for prompt in range(each):
        data = {"token": mine, "key": _key(number, prompt)}
        for _ in range(2):
            answer = client.post(
                f"{page.url}/cab/{trip}/heard", data=data, headers={"accept": "application/json"}
            )
            assert answer.status_code == 200, answer.text
        taken += 1
    return taken
