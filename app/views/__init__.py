"""Views draw plain engine objects and emit signals; they hold no state and compute no domain numbers."""
