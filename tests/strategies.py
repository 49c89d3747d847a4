"""Things to drop and collide, at sizes found in a classroom."""

from hypothesis import strategies as st

drop_heights = st.floats(0.05, 10)  # m: a table to a stairwell
restitutions = st.floats(0.05, 1)
speeds = st.floats(0.05, 15)  # m/s
drag_constants = st.one_of(
    st.just(0.0),
    st.floats(1e-12, 1e-3),
    st.floats(1e-3, 0.8),  # 1/m: a basketball to a balloon
)
