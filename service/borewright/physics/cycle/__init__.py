"""The cylinder cycle: charge, burning, heat loss, knock, friction, nitrous oxide."""
