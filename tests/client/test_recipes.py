"""Each recipe under client/examples does what it says, against the service itself."""

import asyncio
import importlib.util
import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, get_args

import httpx
import numpy as np
import pytest
import requests

import borewright_client as bw
from borewright.web.app import create_app

RECIPES = Path(__file__).parents[2] / "client" / "examples"
BUILD = {"bore": "94 mm", "stroke": "88 mm", "cylinders": 4}


@pytest.fixture
def client(wsgi_session: Callable[..., requests.Session]) -> Iterator[bw.Client]:
    with wsgi_session(create_app()) as session:
        yield bw.Client("http://service", session=session, deadline=60.0, timeout=60.0)


def recipe(name: str) -> Any:
    spec = importlib.util.spec_from_file_location(name, RECIPES / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_every_recipe_has_a_test() -> None:
    source = Path(__file__).read_text(encoding="utf-8")
    assert [path.stem for path in sorted(RECIPES.glob("*.py")) if f'recipe("{path.stem}")' not in source] == []


def test_order_to_pdf(client: bw.Client, tmp_path: Path) -> None:
    order = tmp_path / "order.json"
    order.write_text(json.dumps({"order": {"id": "HL-0001"}, "build": BUILD}))
    target = recipe("order_to_pdf").file_order(client, order, tmp_path / "filed")
    assert target.read_bytes().startswith(b"%PDF")
    written = target.stat().st_mtime_ns
    assert recipe("order_to_pdf").file_order(client, order, tmp_path / "filed").stat().st_mtime_ns == written


@pytest.mark.parametrize("name", ["2026/17", "../../17", "..", "a b"])
def test_an_order_of_any_name_is_filed_in_its_folder(name: str, client: bw.Client, tmp_path: Path) -> None:
    order = tmp_path / "order.json"
    order.write_text(json.dumps({"order": {"id": name}, "build": BUILD}))
    assert recipe("order_to_pdf").file_order(client, order, tmp_path / "filed").parent == tmp_path / "filed"


@pytest.mark.parametrize("path", sorted(RECIPES.glob("*.py")), ids=lambda path: path.stem)
def test_a_recipe_called_otherwise_says_how(path: Path, address: str) -> None:
    if "sys.argv" in path.read_text(encoding="utf-8"):
        done = subprocess.run([sys.executable, str(path)], capture_output=True, text=True, check=False)
        assert (done.returncode, done.stdout) == (1, "")
        assert f"python {path.name} " in done.stderr
        assert "Traceback" not in done.stderr
    else:
        command = {**os.environ, "BOREWRIGHT_CLIENT_URL": address}
        assert subprocess.run([sys.executable, str(path)], capture_output=True, text=True, check=True, env=command).stdout


def test_orders_at_once(wsgi_adapter: Any, tmp_path: Path) -> None:
    source, target = tmp_path / "orders", tmp_path / "filed"
    source.mkdir()
    for number in range(3):
        (source / f"HL-{number}.json").write_text(json.dumps({"order": {"id": f"HL-{number}"}, "build": BUILD}))
    (source / "bad.json").write_text(json.dumps({"order": {"id": "a\0b"}, "build": BUILD}))
    (source / "no-json.json").write_text("{")
    (source / "no-order.json").write_text('{"ordr": {}}')

    async def file() -> Any:
        async with httpx.AsyncClient(transport=wsgi_adapter.AsyncWsgiTransport(create_app())) as session:
            client = bw.AsyncClient("http://service", session=session, deadline=60.0, timeout=60.0)
            return await recipe("orders_at_once").file_orders(client, source, target)

    outcomes = asyncio.run(file())
    assert list(outcomes) == ["HL-0.json", "HL-1.json", "HL-2.json", "bad.json", "no-json.json", "no-order.json"]
    assert outcomes.pop("bad.json").startswith("not filed: 422 ")
    assert outcomes.pop("no-json.json").startswith("not filed: ")
    assert outcomes.pop("no-order.json").startswith("not filed: ")
    assert set(outcomes.values()) <= set(get_args(bw.Verdict))
    assert [path.name for path in sorted(target.iterdir())] == ["HL-0.pdf", "HL-1.pdf", "HL-2.pdf"]
    assert all(path.read_bytes().startswith(b"%PDF") for path in target.iterdir())


def test_validate_cart(client: bw.Client, capsys: pytest.CaptureFixture[str]) -> None:
    shop = recipe("validate_cart")
    assert all("pin-fit" not in message for message in shop.cart_messages(client, shop.CART))
    wide = {**shop.CART, "crank": {"stroke": "88 mm", "counterweight_radius": "100 mm"}}
    assert any("counterweight" in message for message in shop.cart_messages(client, wide))
    (message,) = shop.cart_messages(client, {**shop.CART, "speed": "9 kg"})
    assert message.startswith("#/speed: ")
    assert shop.cart_messages(bw.Client("http://127.0.0.1:9"), shop.CART) is None
    assert "not checked" in capsys.readouterr().err


def test_filter_catalog(client: bw.Client) -> None:
    catalog = recipe("filter_catalog")
    found = catalog.fitting(client, catalog.PISTONS, 10.0, 10.6)
    assert 0 < len(found) < len(catalog.PISTONS)
    assert all(10.0 <= ratio <= 10.6 for _, ratio in found)
    apart = [abs(ratio - 10.3) for _, ratio in found]
    assert apart == sorted(apart)


def test_sweep_and_plot(client: bw.Client, tmp_path: Path) -> None:
    ratios = recipe("sweep_and_plot").sweep(client, np.array([44.0, 52.0]), np.array([0.6, 1.0, 1.4]))
    assert ratios.shape == (3, 2)
    assert (np.diff(ratios, axis=0) < 0).all()
    assert (np.diff(ratios, axis=1) < 0).all()
    recipe("sweep_and_plot").plot(client, tmp_path / "map.png")
    assert (tmp_path / "map.png").read_bytes().startswith(b"\x89PNG")


def test_builds_csv(client: bw.Client, tmp_path: Path) -> None:
    source, target = tmp_path / "builds.csv", tmp_path / "results.csv"
    source.write_text("bore [mm],stroke [mm],chamber_volume [cm3]\n94,88,52\n94,88,wide\n")
    assert recipe("builds_csv").results(client, source, target) == bw.Written(rows=2, failed=1)
    assert "chamber_volume" in target.read_text(encoding="utf-8").splitlines()[2]


def test_spreadsheet(client: bw.Client, tmp_path: Path) -> None:
    source, target = tmp_path / "in.csv", tmp_path / "out.csv"
    source.write_text("job,bore,duty.aspiration,duty.service\nA,94,natural,street\nB,94,boost,sport\nC,,boost,sport\n")
    sheet = recipe("spreadsheet").judged(client, source, target)
    gaps = list(sheet["top ring gap wanted [mm]"])
    assert 0.2 < gaps[0] < gaps[1]
    assert list(sheet["verdict"].isna()) == [False, False, True]
    assert sheet["errors"][2].startswith("#/bore: ")
    assert target.read_text(encoding="utf-8").startswith("job,bore,")
