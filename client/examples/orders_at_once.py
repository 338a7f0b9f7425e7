"""A folder of work orders becomes a folder of PDFs, some under way at once: python orders_at_once.py orders filed.

For programs on asyncio, such as a shop's own web service; wants the extra `async`. An order that is refused,
or a file that is none, stops no other.
"""

import asyncio
import json
import sys
from pathlib import Path

from borewright_client import AsyncClient, BorewrightError

AT_ONCE = 4


async def file_orders(client: AsyncClient, source: Path, target: Path) -> dict[str, str]:
    """File the sheet of each order, and say of each by its file's name how it stands."""
    target.mkdir(parents=True, exist_ok=True)
    free = asyncio.Semaphore(AT_ONCE)

    async def filed(path: Path) -> str:
        async with free:
            try:
                order = json.loads(path.read_text(encoding="utf-8"))
                document = await client.build_sheet_document(**order)
                await asyncio.to_thread((target / f"{path.stem}.pdf").write_bytes, document)
            except (BorewrightError, ValueError, TypeError) as trouble:  # no order, or a file that is none
                return f"not filed: {trouble}"
            return document.verdict or "filed"

    paths = sorted(source.glob("*.json"))
    return dict(zip((path.name for path in paths), await asyncio.gather(*map(filed, paths)), strict=True))


async def main() -> None:
    async with AsyncClient() as client:
        for name, outcome in (await file_orders(client, Path(sys.argv[1]), Path(sys.argv[2]))).items():
            print(f"{name}: {outcome}")


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    asyncio.run(main())
