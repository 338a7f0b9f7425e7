"""The client for asyncio. What both clients share is written once, and the modules here that say so are generated from it."""
